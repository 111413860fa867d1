/* recording/gpx_fields.h: what the names and texts inside a track point mean.
 *
 * Names are compared without their prefix, without "_", "-" and ".", in small letters: the same
 * quantity comes as "power", "PowerInWatts", "x:hr" or "heart_rate".
 *
 *     power, powerinwatts, watts, pwr                  W
 *     hr, heartrate, heartratebpm, bpm, pulse          beats/min
 *     cad, cadence, rpm                                rev/min
 *     atemp, temp, temperature, airtemp                degrees C
 *     speed, velocity                                  m/s
 *
 * Distance is left alone: exporters don't agree on its unit. */
#ifndef RECORDING_GPX_FIELDS_H
#define RECORDING_GPX_FIELDS_H

#include "recording/recording.h"

/* Behind the last colon: "hr" of "x:hr". */
const char *gpx_local_name(const char *name);

/* The channel that an element below a track point holds; false for any other element. */
bool gpx_field_channel(const char *local_name, enum channel *channel);

enum gpx_value { GPX_VALUE, GPX_VALUE_NONE, GPX_VALUE_BAD };

/* The text of a field as steps of its channel, rounded to the nearest.  GPX_VALUE_NONE for texts
 * that say that there is nothing ("", "-", "--", "NaN", "null", "none", "NA"); GPX_VALUE_BAD for
 * what is no number, or one outside what the device protocols can hold (see the table). */
enum gpx_value gpx_field_value(const char *text, enum channel channel, int32_t *value);

/* An instant of ISO 8601, to the millisecond.  GPX 1.1 wants UTC, so "Z" and no offset at all say
 * nothing about local time: *has_offset is true only for a stated offset other than 0. */
bool gpx_field_time(const char *text, int64_t *utc_ms, bool *has_offset, int32_t *offset_s);

/* A track's type in words of any writing: "cycling", "VirtualRide", "trail running". */
enum sport gpx_field_sport(const char *type);
enum ride_place gpx_field_place(const char *type);

#endif
