import { expect, test } from "vitest";

import { LEAST_VIEW_S, markedOf, placeInto, placeKey, placeRelease, type Place, wholePlace } from "./keys";

function press(place: Place, key: string, shift = false): Place {
  return placeKey(place, { key, shift }, 1000, 3600) ?? place;
}

test("arrows move the cursor by what can be seen, and stop at the ends", () => {
  const begun = press(wholePlace(3600), "ArrowRight");
  expect(begun.cursor).toBe(0);
  expect(press(begun, "ArrowRight").cursor).toBe(7);
  expect(press(begun, "ArrowLeft").cursor).toBe(0);
  expect(press(begun, "End").cursor).toBe(3599);
  expect(press(begun, "PageDown").cursor).toBe(360);
});

test("shift marks a span, and letting it go looks into it; Escape leads back", () => {
  let place = press(wholePlace(3600), "PageDown");
  place = press(place, "PageDown", true);
  place = press(place, "PageDown", true);
  expect(markedOf(place)).toEqual({ from_s: 360, to_s: 1080 });
  place = placeRelease(place, 3600);
  expect(place.view).toEqual({ from_s: 360, to_s: 1080 });
  expect(place.anchor).toBeNull();
  place = press(place, "Escape");
  expect(place.view).toEqual({ from_s: 0, to_s: 3600 });
});

test("Escape first lets the mark go, then the views, then the cursor, then belongs to others", () => {
  let place = placeInto(press(wholePlace(3600), "Home"), { from_s: 100, to_s: 400 }, 3600);
  place = press(place, "PageDown", true);
  place = press(place, "Escape");
  expect(place.anchor).toBeNull();
  expect(place.view.from_s).toBe(100);
  place = press(place, "Escape");
  expect(place.view.from_s).toBe(0);
  place = press(place, "Escape");
  expect(place.cursor).toBeNull();
  expect(placeKey(place, { key: "Escape", shift: false }, 1000, 3600)).toBeNull();
});

test("a span too short to show is widened, within the ride", () => {
  const view = placeInto(wholePlace(3600), { from_s: 3598, to_s: 3599 }, 3600).view;
  expect(view.to_s - view.from_s).toBeGreaterThanOrEqual(LEAST_VIEW_S);
  expect(view.to_s).toBeLessThanOrEqual(3600);
  expect(placeInto(wholePlace(3600), { from_s: 0, to_s: 1 }, 3600).view).toEqual({ from_s: 0, to_s: LEAST_VIEW_S });
});

test("keys that mean nothing here are left to others", () => {
  for (const key of ["Tab", "a", "Enter", "?"]) {
    expect(placeKey(wholePlace(3600), { key, shift: false }, 1000, 3600)).toBeNull();
  }
});
