/* A button, or a link that looks like one when it leads to a place. */
import type { ComponentChildren } from "preact";

export interface ActProps {
  readonly children: ComponentChildren;
  readonly primary?: boolean; /* the one next act of a screen; at most one */
  readonly quiet?: boolean; /* as plain words: a lesser act in a line of text */
  readonly faint?: boolean; /* quieter still: one that stands beside many lines */
  readonly href?: string;
  readonly onAct?: () => void;
  readonly disabled?: boolean;
  readonly type?: "button" | "submit";
  readonly label?: string; /* where the words alone don't say of what */
  readonly expanded?: boolean;
}

export function Act(props: ActProps) {
  const { children, primary, quiet, faint, href, onAct, disabled, type = "button", label, expanded } = props;
  const look = faint === true ? "act act-quiet act-faint" : quiet === true ? "act act-quiet" : primary === true ? "act act-primary" : "act";
  const named = {
    ...(label === undefined ? {} : { "aria-label": label }),
    ...(expanded === undefined ? {} : { "aria-expanded": expanded }),
  };
  if (href !== undefined) {
    return <a class={look} href={href} {...named}>{children}</a>;
  }
  return (
    <button class={look} type={type} disabled={disabled === true} onClick={onAct} {...named}>
      {children}
    </button>
  );
}
