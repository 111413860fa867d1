/* The screens: one row an address.  A screen's code is loaded when it is first shown. */
import type { ComponentType } from "preact";

import { labels } from "./labels";
import type { Parameters } from "./router";
import { Welcome } from "./screens/welcome";

export interface ScreenProps {
  readonly parameters: Parameters;
}

export interface Route {
  readonly pattern: string;
  readonly title: string; /* of the document, until the screen knows a better one */
  readonly under: "who" | "riders" | null; /* which word of the navigation is lit */
  readonly load: () => Promise<{ readonly default: ComponentType<ScreenProps> }>;
}

export const routes: readonly Route[] = [
  { pattern: "/", title: labels.whoFirst, under: "who", load: () => import("./screens/who_first") },
  { pattern: "/record", title: labels.record, under: "who", load: () => import("./screens/record") },
  { pattern: "/riders", title: labels.riders, under: "riders", load: () => import("./screens/riders") },
  { pattern: "/riders/:rider", title: labels.rider, under: "riders", load: () => import("./screens/rider") },
  { pattern: "/welcome", title: labels.welcome, under: null, load: () => Promise.resolve({ default: Welcome }) },
  { pattern: "/riders/:rider/bests", title: labels.bests, under: "riders", load: () => import("./screens/bests") },
  { pattern: "/riders/:rider/draft", title: labels.draft, under: "riders", load: () => import("./screens/draft") },
  { pattern: "/rides/:ride", title: labels.ride, under: "riders", load: () => import("./screens/ride") },
];

/* The navigation's words; a screen that isn't there has none. */
export const navigation: readonly { readonly href: string; readonly label: string; readonly is: Route["under"] }[] = [
  { href: "/", label: labels.whoFirst, is: "who" },
  { href: "/riders", label: labels.riders, is: "riders" },
];
