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
    const longest = rides.reduce((a, b) => (a.seconds >= b.seconds ? a : b));
    return {
      rider: rider.id,
      hard: by("hard work", "started too hard").id,
      base: (by("base", "passed") ?? by("base", "on the line")).id,
      longest: longest.id,
    };
  });
}

export function screensOf(places) {
  return [
    { name: "who-first", path: "/" },
    { name: "riders", path: "/riders" },
    { name: "rider", path: `/riders/${places.rider}` },
    { name: "ride-hard", path: `/rides/${places.hard}` },
    { name: "ride-base", path: `/rides/${places.base}` },
    { name: "ride-long", path: `/rides/${places.longest}` },
    { name: "bests", path: `/riders/${places.rider}/bests` },
  ];
}

export const looks = [
  { name: "light", width: 1240, scheme: "light" },
  { name: "dark", width: 1240, scheme: "dark" },
  { name: "narrow", width: 360, scheme: "light" },
];
