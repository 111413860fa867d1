/* Every screen of the page, on the example roster. */

/* Rides and riders by what they are, found by asking the server as the page does. */
export async function findPlaces(page) {
  return page.evaluate(async () => {
    const get = async (path) => (await fetch(`/api/1/${path}`, { headers: { Prefer: "wait=30" } })).json();
    const { riders } = await get("riders");
    const rider = riders.find((row) => row.name === "Jonas Ebbeck");
    const all = await get(`riders/${rider.id}/rides`);
    const rides = Array.isArray(all) ? all : all.rides;
    const by = (question, verdict) => rides.findLast((ride) =>
      ride.readings.some((reading) => reading.question === question && reading.verdict === verdict));
    const { sessions } = await get(`riders/${rider.id}/sessions?from=2026-08-24`);
    const longest = rides.reduce((a, b) => (a.seconds >= b.seconds ? a : b));
    return {
      rider: rider.id,
      hard: by("hard work", "started too hard").id,
      base: (by("base", "passed") ?? by("base", "on the line")).id,
      longest: longest.id,
      asked: sessions.find((one) => one.kind === "vo2max").number,
    };
  });
}

/* A hard session that the rider may ride, drafted in the week of `day`: places with its number. */
export async function withDraft(page, places, day) {
  const number = await page.evaluate(async ({ rider, on }) => {
    const send = async (path, body) => (await fetch(`/api/1/riders/${rider}/${path}`, {
      method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body),
    })).json();
    const words = "warm up 15 min at 50-65 %\n4 times (4 min at 106-112 % \"first minute no harder than the last\", rest 4 min at 50 %)\ncool down 10 min at 45 %\nplan B over 26 C: 60 min at 50-60 %\nnote: away from traffic";
    const wish = { day: on, name: "VO2max, 4 x 4 min", kind: "vo2max", words, why: "The last one was ridden evenly." };
    const { breaches } = await send("session-words", { day: on, words, kind: wish.kind });
    return (await send("sessions", { ...wish, knowingly: breaches.map((one) => one.name) })).number;
  }, { rider: places.rider, on: day });
  return { ...places, session: number, day };
}

export function screensOf(places) {
  const drafts = places.session === undefined ? [] : [
    { name: "draft", path: `/riders/${places.rider}/draft?week=${places.day}&session=${places.session}` },
    { name: "draft-new", path: `/riders/${places.rider}/draft?week=${places.day}&day=${places.day}` },
  ];
  return [
    ...drafts,
    { name: "who-first", path: "/" },
    { name: "record", path: "/record" },
    { name: "riders", path: "/riders" },
    { name: "rider", path: `/riders/${places.rider}` },
    { name: "ride-hard", path: `/rides/${places.hard}` },
    { name: "ride-base", path: `/rides/${places.base}` },
    { name: "ride-long", path: `/rides/${places.longest}` },
    { name: "bests", path: `/riders/${places.rider}/bests` },
    { name: "draft-week", path: `/riders/${places.rider}/draft` },
    { name: "draft-ridden", path: `/riders/${places.rider}/draft?week=2026-08-24&session=${places.asked}` },
  ];
}

export const looks = [
  { name: "light", width: 1240, scheme: "light" },
  { name: "dark", width: 1240, scheme: "dark" },
  { name: "narrow", width: 360, scheme: "light" },
];
