/* recording/csv_names.c: the one table of what columns are called, and of their units. */
#include "recording/csv_names.h"

#include <string.h>

/* Ranks of time: an instant tells more than a clock, a clock more than seconds.  Ranks of speed
 * and altitude: the wider field of the FIT protocol wins.
 * Names are the program's own, those of FIT's fields, and what English, German, French, Spanish,
 * Italian and Dutch call the thing: common practice, no source. */
const struct csv_name csv_names[] = {
    { "timestamp", CSV_TIME, 0, NULL },
    { "time_stamp", CSV_TIME, 0, NULL },
    { "date_time", CSV_TIME, 0, NULL },
    { "datetime", CSV_TIME, 0, NULL },
    { "utc", CSV_TIME, 0, NULL },
    { "utc_time", CSV_TIME, 0, NULL },
    { "local_time", CSV_TIME, 0, NULL },
    { "zeitstempel", CSV_TIME, 0, NULL },
    { "time", CSV_TIME, 1, NULL },
    { "zeit", CSV_TIME, 1, NULL },
    { "uhrzeit", CSV_TIME, 1, NULL },
    { "temps", CSV_TIME, 1, NULL },
    { "heure", CSV_TIME, 1, NULL },
    { "tiempo", CSV_TIME, 1, NULL },
    { "hora", CSV_TIME, 1, NULL },
    { "tijd", CSV_TIME, 1, NULL },
    { "seconds", CSV_TIME, 2, NULL },
    { "secs", CSV_TIME, 2, NULL },
    { "sec", CSV_TIME, 2, NULL },
    { "elapsed_time", CSV_TIME, 2, NULL },
    { "elapsed", CSV_TIME, 2, NULL },
    { "elapsed_seconds", CSV_TIME, 2, NULL },
    { "duration", CSV_TIME, 2, NULL },
    { "dauer", CSV_TIME, 2, NULL },
    { "minutes", CSV_TIME, 2, "min" },
    { "mins", CSV_TIME, 2, "min" },
    { "date", CSV_DATE, 0, NULL },
    { "day", CSV_DATE, 0, NULL },
    { "datum", CSV_DATE, 0, NULL },
    { "fecha", CSV_DATE, 0, NULL },
    { "power", CHANNEL_POWER, 0, NULL },
    { "watts", CHANNEL_POWER, 0, NULL },
    { "watt", CHANNEL_POWER, 0, NULL },
    { "powerinwatts", CHANNEL_POWER, 0, NULL },
    { "pwr", CHANNEL_POWER, 0, NULL },
    { "leistung", CHANNEL_POWER, 0, NULL },
    { "puissance", CHANNEL_POWER, 0, NULL },
    { "potencia", CHANNEL_POWER, 0, NULL },
    { "potenza", CHANNEL_POWER, 0, NULL },
    { "vermogen", CHANNEL_POWER, 0, NULL },
    { "heart_rate", CHANNEL_HEART_RATE, 0, NULL },
    { "heartrate", CHANNEL_HEART_RATE, 0, NULL },
    { "hr", CHANNEL_HEART_RATE, 0, NULL },
    { "bpm", CHANNEL_HEART_RATE, 0, NULL },
    { "heartratebpm", CHANNEL_HEART_RATE, 0, NULL },
    { "pulse", CHANNEL_HEART_RATE, 0, NULL },
    { "herzfrequenz", CHANNEL_HEART_RATE, 0, NULL },
    { "puls", CHANNEL_HEART_RATE, 0, NULL },
    { "frequence_cardiaque", CHANNEL_HEART_RATE, 0, NULL },
    { "frecuencia_cardiaca", CHANNEL_HEART_RATE, 0, NULL },
    { "frequenza_cardiaca", CHANNEL_HEART_RATE, 0, NULL },
    { "hartslag", CHANNEL_HEART_RATE, 0, NULL },
    { "cadence", CHANNEL_CADENCE, 0, NULL },
    { "cad", CHANNEL_CADENCE, 0, NULL },
    { "rpm", CHANNEL_CADENCE, 0, NULL },
    { "trittfrequenz", CHANNEL_CADENCE, 0, NULL },
    { "cadencia", CHANNEL_CADENCE, 0, NULL },
    { "cadenza", CHANNEL_CADENCE, 0, NULL },
    { "trapfrequentie", CHANNEL_CADENCE, 0, NULL },
    { "enhanced_speed", CHANNEL_SPEED, 0, NULL },
    { "speed", CHANNEL_SPEED, 1, NULL },
    { "velocity", CHANNEL_SPEED, 1, NULL },
    { "kph", CHANNEL_SPEED, 1, "kph" },
    { "km/h", CHANNEL_SPEED, 1, "kph" },
    { "kmh", CHANNEL_SPEED, 1, "kph" },
    { "mph", CHANNEL_SPEED, 1, "mph" },
    { "geschwindigkeit", CHANNEL_SPEED, 1, NULL },
    { "vitesse", CHANNEL_SPEED, 1, NULL },
    { "velocidad", CHANNEL_SPEED, 1, NULL },
    { "velocita", CHANNEL_SPEED, 1, NULL },
    { "snelheid", CHANNEL_SPEED, 1, NULL },
    { "distance", CHANNEL_DISTANCE, 0, NULL },
    { "dist", CHANNEL_DISTANCE, 0, NULL },
    { "distancemeters", CHANNEL_DISTANCE, 0, NULL },
    { "distanz", CHANNEL_DISTANCE, 0, NULL },
    { "strecke", CHANNEL_DISTANCE, 0, NULL },
    { "distancia", CHANNEL_DISTANCE, 0, NULL },
    { "distanza", CHANNEL_DISTANCE, 0, NULL },
    { "afstand", CHANNEL_DISTANCE, 0, NULL },
    { "enhanced_altitude", CHANNEL_ALTITUDE, 0, NULL },
    { "altitude", CHANNEL_ALTITUDE, 1, NULL },
    { "elevation", CHANNEL_ALTITUDE, 1, NULL },
    { "ele", CHANNEL_ALTITUDE, 1, NULL },
    { "alt", CHANNEL_ALTITUDE, 1, NULL },
    { "altitudemeters", CHANNEL_ALTITUDE, 1, NULL },
    { "hohe", CHANNEL_ALTITUDE, 1, NULL },
    { "altitud", CHANNEL_ALTITUDE, 1, NULL },
    { "altitudine", CHANNEL_ALTITUDE, 1, NULL },
    { "hoogte", CHANNEL_ALTITUDE, 1, NULL },
    { "temperature", CHANNEL_TEMPERATURE, 0, NULL },
    { "temp", CHANNEL_TEMPERATURE, 0, NULL },
    { "temperatur", CHANNEL_TEMPERATURE, 0, NULL },
    { "temperatura", CHANNEL_TEMPERATURE, 0, NULL },
    { "temperatuur", CHANNEL_TEMPERATURE, 0, NULL },
    { "latitude", CHANNEL_LATITUDE, 0, NULL },
    { "lat", CHANNEL_LATITUDE, 0, NULL },
    { "position_lat", CHANNEL_LATITUDE, 0, "semicircles" },
    { "longitude", CHANNEL_LONGITUDE, 0, NULL },
    { "lon", CHANNEL_LONGITUDE, 0, NULL },
    { "lng", CHANNEL_LONGITUDE, 0, NULL },
    { "long", CHANNEL_LONGITUDE, 0, NULL },
    { "position_long", CHANNEL_LONGITUDE, 0, "semicircles" },
    { "balance_left", CHANNEL_BALANCE, 0, NULL },
    { "left_balance", CHANNEL_BALANCE, 0, NULL },
};
const size_t csv_n_names = sizeof csv_names / sizeof csv_names[0];

#define DEGREE "\xC2\xB0"

/* Exact by definition: the foot (0.3048 m), the mile (1609.344 m), degrees Fahrenheit.
 * Semicircles are the FIT protocol's 180 / 2^31 degrees. */
#define KMH (1.0 / 3.6)
const struct csv_unit csv_units[] = {
    { "s", CSV_TIME, 0, 1.0, 0.0 },
    { "sec", CSV_TIME, 0, 1.0, 0.0 },
    { "secs", CSV_TIME, 0, 1.0, 0.0 },
    { "seconds", CSV_TIME, 0, 1.0, 0.0 },
    { "utc", CSV_TIME, 0, 1.0, 0.0 },
    { "local", CSV_TIME, 0, 1.0, 0.0 },
    { "iso_8601", CSV_TIME, 0, 1.0, 0.0 },
    { "h:mm:ss", CSV_TIME, 0, 1.0, 0.0 },
    { "hh:mm:ss", CSV_TIME, 0, 1.0, 0.0 },
    { "mm:ss", CSV_TIME, 1, 1.0, 0.0 },
    { "m:ss", CSV_TIME, 1, 1.0, 0.0 },
    { "hh:mm", CSV_TIME, 60, 1.0, 0.0 },
    { "h:mm", CSV_TIME, 60, 1.0, 0.0 },
    { "ms", CSV_TIME, 0, 0.001, 0.0 },
    { "msec", CSV_TIME, 0, 0.001, 0.0 },
    { "min", CSV_TIME, 1, 60.0, 0.0 },
    { "minutes", CSV_TIME, 1, 60.0, 0.0 },
    { "h", CSV_TIME, 60, 3600.0, 0.0 },
    { "yyyy_mm_dd", CSV_DATE, 0, 1.0, 0.0 },
    { "w", CHANNEL_POWER, 0, 1.0, 0.0 },
    { "watt", CHANNEL_POWER, 0, 1.0, 0.0 },
    { "watts", CHANNEL_POWER, 0, 1.0, 0.0 },
    { "kw", CHANNEL_POWER, 0, 0.0, 0.0 },
    { "hp", CHANNEL_POWER, 0, 0.0, 0.0 },
    { "w/kg", CHANNEL_POWER, 0, 0.0, 0.0 },
    { "w_kg", CHANNEL_POWER, 0, 0.0, 0.0 },
    { "bpm", CHANNEL_HEART_RATE, 0, 1.0, 0.0 },
    { "1/min", CHANNEL_HEART_RATE, 0, 1.0, 0.0 },
    { "/min", CHANNEL_HEART_RATE, 0, 1.0, 0.0 },
    { "beats/min", CHANNEL_HEART_RATE, 0, 1.0, 0.0 },
    { "%", CHANNEL_HEART_RATE, 0, 0.0, 0.0 },
    { "pct", CHANNEL_HEART_RATE, 0, 0.0, 0.0 },
    { "rpm", CHANNEL_CADENCE, 0, 1.0, 0.0 },
    { "1/min", CHANNEL_CADENCE, 0, 1.0, 0.0 },
    { "/min", CHANNEL_CADENCE, 0, 1.0, 0.0 },
    { "rev/min", CHANNEL_CADENCE, 0, 1.0, 0.0 },
    { "m/s", CHANNEL_SPEED, 0, 1.0, 0.0 },
    { "m_s", CHANNEL_SPEED, 0, 1.0, 0.0 },
    { "ms", CHANNEL_SPEED, 0, 1.0, 0.0 },
    { "mps", CHANNEL_SPEED, 0, 1.0, 0.0 },
    { "km/h", CHANNEL_SPEED, 0, KMH, 0.0 },
    { "km_h", CHANNEL_SPEED, 0, KMH, 0.0 },
    { "kmh", CHANNEL_SPEED, 0, KMH, 0.0 },
    { "kph", CHANNEL_SPEED, 0, KMH, 0.0 },
    { "mph", CHANNEL_SPEED, 0, 0.44704, 0.0 },
    { "mi/h", CHANNEL_SPEED, 0, 0.44704, 0.0 },
    { "m", CHANNEL_DISTANCE, 0, 1.0, 0.0 },
    { "meters", CHANNEL_DISTANCE, 0, 1.0, 0.0 },
    { "metres", CHANNEL_DISTANCE, 0, 1.0, 0.0 },
    { "km", CHANNEL_DISTANCE, 0, 1000.0, 0.0 },
    { "mi", CHANNEL_DISTANCE, 0, 1609.344, 0.0 },
    { "miles", CHANNEL_DISTANCE, 0, 1609.344, 0.0 },
    { "m", CHANNEL_ALTITUDE, 0, 1.0, 0.0 },
    { "meters", CHANNEL_ALTITUDE, 0, 1.0, 0.0 },
    { "metres", CHANNEL_ALTITUDE, 0, 1.0, 0.0 },
    { "ft", CHANNEL_ALTITUDE, 0, 0.3048, 0.0 },
    { "feet", CHANNEL_ALTITUDE, 0, 0.3048, 0.0 },
    { "c", CHANNEL_TEMPERATURE, 0, 1.0, 0.0 },
    { DEGREE "c", CHANNEL_TEMPERATURE, 0, 1.0, 0.0 },
    { "celsius", CHANNEL_TEMPERATURE, 0, 1.0, 0.0 },
    { "f", CHANNEL_TEMPERATURE, 0, 5.0 / 9.0, -160.0 / 9.0 },
    { DEGREE "f", CHANNEL_TEMPERATURE, 0, 5.0 / 9.0, -160.0 / 9.0 },
    { "fahrenheit", CHANNEL_TEMPERATURE, 0, 5.0 / 9.0, -160.0 / 9.0 },
    { "deg", CHANNEL_LATITUDE, 0, 1.0, 0.0 },
    { "degrees", CHANNEL_LATITUDE, 0, 1.0, 0.0 },
    { DEGREE, CHANNEL_LATITUDE, 0, 1.0, 0.0 },
    { "semicircles", CHANNEL_LATITUDE, 0, 180.0 / 2147483648.0, 0.0 },
    { "deg", CHANNEL_LONGITUDE, 0, 1.0, 0.0 },
    { "degrees", CHANNEL_LONGITUDE, 0, 1.0, 0.0 },
    { DEGREE, CHANNEL_LONGITUDE, 0, 1.0, 0.0 },
    { "semicircles", CHANNEL_LONGITUDE, 0, 180.0 / 2147483648.0, 0.0 },
    { "%", CHANNEL_BALANCE, 0, 1.0, 0.0 },
    { "pct", CHANNEL_BALANCE, 0, 1.0, 0.0 },
    { "percent", CHANNEL_BALANCE, 0, 1.0, 0.0 },
};
const size_t csv_n_units = sizeof csv_units / sizeof csv_units[0];

const char *csv_meaning_name(int meaning)
{
    static const char *const names[CSV_MEANINGS] = {
        [CHANNEL_POWER] = "power",
        [CHANNEL_HEART_RATE] = "heart-rate",
        [CHANNEL_CADENCE] = "cadence",
        [CHANNEL_SPEED] = "speed",
        [CHANNEL_DISTANCE] = "distance",
        [CHANNEL_ALTITUDE] = "altitude",
        [CHANNEL_TEMPERATURE] = "temperature",
        [CHANNEL_LATITUDE] = "latitude",
        [CHANNEL_LONGITUDE] = "longitude",
        [CHANNEL_BALANCE] = "balance",
        [CSV_TIME] = "time",
        [CSV_DATE] = "date",
    };
    return names[meaning];
}

int csv_meaning_find(const char *name)
{
    int meaning = 0;
    while (meaning < CSV_MEANINGS && strcmp(csv_meaning_name(meaning), name) != 0) {
        meaning++;
    }
    return meaning;
}

const struct csv_unit *csv_unit_find(int meaning, const char *unit)
{
    for (size_t i = 0; i < csv_n_units; i++) {
        if (csv_units[i].meaning == meaning &&
            (unit == NULL || strcmp(csv_units[i].unit, unit) == 0)) {
            return &csv_units[i];
        }
    }
    return NULL;
}
