/* Addresses and screens: which screen an address means, and how to get to another without loading
 * the page anew.  The server answers index.html for every address of `routes.ts`. */
import { signal } from "@preact/signals";

export type Parameters = Readonly<Record<string, string>>;

export interface Place {
  readonly path: string;
  readonly query: URLSearchParams;
}

/* "/riders/:rider" against "/riders/3": {rider: "3"}; null if it is another address.  A part never
 * matches a slash, and a name may not be empty. */
export function match(pattern: string, path: string): Parameters | null {
  const want = pattern.split("/");
  const have = path.replace(/\/+$/, "").split("/");
  const root = pattern === "/" && have.length === 1;
  if (root) {
    return {};
  }
  if (want.length !== have.length) {
    return null;
  }
  const found: Record<string, string> = {};
  for (const [i, part] of want.entries()) {
    const value = have[i] ?? "";
    if (part.startsWith(":")) {
      const decoded = decode(value);
      if (decoded === null || decoded === "") {
        return null;
      }
      found[part.slice(1)] = decoded;
    } else if (part !== value) {
      return null;
    }
  }
  return found;
}

/* The address of a screen: parameters into the pattern, the rest into the query. */
export function address(pattern: string, parameters: Parameters = {}, query: Parameters = {}): string {
  const path = pattern.replace(/:(\w+)/g, (_, name: string) => encodeURIComponent(parameters[name] ?? ""));
  const rest = new URLSearchParams(query).toString();
  return rest === "" ? path : `${path}?${rest}`;
}

function decode(text: string): string | null {
  try {
    return decodeURIComponent(text);
  } catch {
    return null;
  }
}

function here(): Place {
  return { path: location.pathname, query: new URLSearchParams(location.search) };
}

/* Where the reader is.  Screens read it; only this file writes it. */
export const place = signal<Place>(here());

/* Grows with every change of screen (not of the query alone): the shell moves the focus then. */
export const arrivals = signal(0);

function arrive(next: Place): void {
  const moved = next.path !== place.value.path;
  place.value = next;
  if (moved) {
    arrivals.value += 1;
  }
}

/* To another address of this page.  replace: the one left is not gone back to. */
export function go(to: string, replace = false): void {
  if (replace) {
    history.replaceState(null, "", to);
  } else {
    history.pushState(null, "", to);
  }
  arrive(here());
}

/* A link that this page can follow itself: same origin, no other key held, nothing downloaded. */
export function isOwn(link: HTMLAnchorElement, event: MouseEvent): boolean {
  return (
    event.button === 0 &&
    !event.metaKey &&
    !event.ctrlKey &&
    !event.shiftKey &&
    !event.altKey &&
    link.origin === location.origin &&
    link.target === "" &&
    !link.hasAttribute("download") &&
    !link.pathname.startsWith("/api/") &&
    !(link.pathname === location.pathname && link.search === location.search && link.hash !== "")
  );
}

/* Follows links and the browser's own back and forth.  Returns what stops it. */
export function startRouter(): () => void {
  const onClick = (event: MouseEvent): void => {
    const link = event.target instanceof Element ? event.target.closest("a") : null;
    if (link instanceof HTMLAnchorElement && !event.defaultPrevented && isOwn(link, event)) {
      event.preventDefault();
      go(link.pathname + link.search + link.hash);
    }
  };
  const onPop = (): void => arrive(here());
  document.addEventListener("click", onClick);
  window.addEventListener("popstate", onPop);
  return () => {
    document.removeEventListener("click", onClick);
    window.removeEventListener("popstate", onPop);
  };
}
