/* The browser's own dialog: keeps the focus inside, closes with Escape, gives the focus back. */
import type { ComponentChildren } from "preact";
import { useEffect, useId, useRef } from "preact/hooks";

import { labels } from "../labels";
import { Act } from "./act";

export interface DialogProps {
  readonly title: string;
  readonly children: ComponentChildren;
  readonly onClose: () => void;
}

/* Open as long as it is there. */
export function Dialog({ title, children, onClose }: DialogProps) {
  const box = useRef<HTMLDialogElement>(null);
  const id = useId();
  useEffect(() => {
    const before = document.activeElement;
    box.current?.showModal();
    return () => {
      if (before instanceof HTMLElement && before.isConnected) {
        before.focus();
      }
    };
  }, []);
  return (
    <dialog class="dialog" ref={box} aria-labelledby={id} onClose={onClose}
            onClick={(event) => {
              if (event.target === box.current) {
                onClose();
              }
            }}>
      <div class="dialog-body">
        <h2 id={id}>{title}</h2>
        {children}
        <p class="acts">
          <Act onAct={onClose}>{labels.close}</Act>
        </p>
      </div>
    </dialog>
  );
}
