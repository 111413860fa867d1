/* Whom to see first, as the page shows it: people in their groups, each with the situation that
 * comes first and, under it, what else there is. */
import type { Who, WhoItem } from "./api_types";

export interface WhoPerson {
  readonly item: WhoItem; /* the first situation: it decides the group and the act */
  readonly also: readonly WhoItem[]; /* other situations of the same rider, in their order */
}

export interface WhoSection {
  readonly group: WhoItem["group"];
  readonly heading: string;
  readonly people: readonly WhoPerson[];
  readonly open: boolean;
}

/* Groups that lie open; the others say how many and wait to be asked. */
const OPEN: ReadonlySet<WhoItem["group"]> = new Set(["look now", "decide this week"]);

/* Groups with somebody in them, in the order of the page.  If nobody is in one that lies open, the
 * first of the others does. */
export function sectionsOf(who: Pick<Who, "groups" | "items">): WhoSection[] {
  const sections = who.groups
    .map((group) => ({
      group: group.group,
      heading: group.heading,
      open: OPEN.has(group.group),
      people: who.items
        .filter((item) => item.first && item.group === group.group)
        .map((item) => ({ item, also: who.items.filter((other) => other.rider === item.rider && !other.first) })),
    }))
    .filter((section) => section.people.length > 0);
  return sections.some((section) => section.open)
    ? sections
    : sections.map((section, i) => ({ ...section, open: i === 0 }));
}

/* Where the one next act leads; null: it is done by asking or telling, and is marked on the spot. */
export function placeOfAct(item: Pick<WhoItem, "act" | "rider" | "ride">): string | null {
  const rider = `/riders/${item.rider}`;
  const ride = item.ride === null ? rider : `/rides/${item.ride}`;
  switch (item.act) {
    case "read-ride":
    case "accept-test":
      return ride;
    case "read-answer":
      return `${rider}#words`;
    case "read-bests":
      return `${rider}/bests`;
    case "hold-hours":
      return `${rider}#load`;
    case "plan-return":
    case "plan-easy-days":
    case "draft-week":
    case "give-test":
      return `${rider}/draft`;
    case "cap-easy-rides":
      return `${rider}#work`;
    case "change-training":
      return `${rider}#progress`;
    case "add-a-little":
      return `${rider}#work`;
    case "ask-screening":
      return `${rider}#health`;
    case "wait":
      return rider;
    case "ask-how":
    case "ask-doctor":
    case "ask-recordings":
    case "ask-again":
    case "check-meters":
    case "tell":
      return null;
  }
}
