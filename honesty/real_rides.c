/* honesty/real_rides.c: the recordings of real rides, and what trust says of them. */
#include "honesty/real_rides.h"

#include "base/files.h"

enum { LARGEST_BYTES = 64 << 20 };

/*   power-dropout       missing in the file while other channels came
 *   ride-road-88min     the 1336 W stand alone between zeros, cadence from 0 to 177 and back; 110
 *                       beats for 75 s while power went from 100 to 210 W, then up 12 within 4 s
 *   ride-3h48           heart rate 37 to 67 at 230 to 450 W after the strap fell out; the device's
 *                       mean of 203 W is the one without coasting
 *   steady-76min        spikes with cadence 11 or 215 beside; its own sums are of less than the
 *                       file
 *   short-efforts       all power on the right side, byte 228, in every record
 *   hot, high           as the thermometer and the altimeter say */
static const struct real_ride rows[] = {
    { "dive-computer-53min-hr.fit", "heart-dropout", "" },
    { "footpod-run-57min-power-hr-devfields.fit", "", "" },
    { "hard-ride-78min-power-hr-balance.fit", "heart-dropout", "" },
    { "indoor-intervals-38min-power-hr.fit", "power-dropout", "" },
    { "indoor-steady-then-intervals-48min-power-hr.fit", "hot", "" },
    { "long-ride-6h-power-hr-balance-b.fit",
      "power-dropout power-dropout power-dropout heart-dropout", "" },
    { "long-ride-6h-power-hr-balance.fit", "", "" },
    { "ride-2h08-power-hr-zones.fit", "", "" },
    { "ride-2h39-power-no-hr-balance.fit", "high", "" },
    { "ride-2h50-power-hr.fit", "", "" },
    { "ride-3h31-hr-no-power.fit", "hot", "" },
    { "ride-3h48-power-hr-spikes.fit",
      "power-spike heart-dropout heart-low heart-low summary-differs", "" },
    { "ride-3h50-power-hr.fit", "", "" },
    { "ride-55min-power-no-hr.fit", "", "" },
    { "ride-57min-power-hr.fit", "", "" },
    { "ride-60min-no-sensors.fit", "", "" },
    { "ride-79min-power-hr.fit", "summary-differs", "" },
    { "ride-7h-hr-hrv.fit", "", "" },
    { "ride-8h-hr-116-stops.fit", "", "" },
    { "ride-92min-power-hr.fit", "power-dropout", "" },
    { "ride-97min-power-hr.fit", "summary-differs", "" },
    { "ride-road-88min-power-hr.fit", "power-spike heart-flat", "" },
    { "run-47min-hr.fit", "", "" },
    { "run-intervals-75min-power-hr.fit", "", "" },
    { "short-efforts-18min-power-hr-hrv.fit", "one-sided", "" },
    { "short-ride-6min-power-hr.fit", "summary-differs", "" },
    { "steady-76min-power-hr-spikes.fit", "power-spike power-spike summary-differs summary-differs",
      "" },
    { "steady-ride-2h15-power-hr-hrv.fit", "", "" },
    { "csv-ride-2020-08-18-power-hr.csv", "sport-assumed", "" },
    { "csv-ride-2020-08-20-power-hr.csv", "sport-assumed", "" },
};

const struct real_ride *real_rides(size_t *count)
{
    *count = sizeof rows / sizeof rows[0];
    return rows;
}

bool real_ride_read(struct arena *arena, const char *shared, const struct real_ride *row,
                    const struct limits *limits, struct recording **out, struct error *err)
{
    const char *path = arena_format(arena, "%s/recordings/real/%s", shared, row->file);
    struct bytes bytes = { 0 };
    struct recordings all = { 0 };
    const struct read_options options = { .file = row->file };
    if (!files_read(arena, path, LARGEST_BYTES, &bytes, err) ||
        !recording_read(arena, bytes, &options, limits, &all, err)) {
        return false;
    }
    if (all.count == 0) {
        return error_set(err, ERROR_INPUT, "%s: holds no recording; look at the file", path);
    }
    *out = all.items[0];
    return true;
}
