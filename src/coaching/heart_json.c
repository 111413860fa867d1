/* coaching/heart_json.c: a rider's heart response as JSON. */
#include "coaching/heart_json.h"

#include "base/dates.h"

#include <math.h>

void heart_json_response(struct json *json, const char *key, const struct heart_response *response)
{
    json_begin_object(json, key);
    json_string(json, "end", response_end_name(response->end));
    json_integer(json, "rides", (int64_t)response->n_rides);
    json_number(json, "tau_s", response->tau_s, 1);
    json_number(json, "dead_s", response->dead_s, 0);
    json_number(json, "gain_bpm_per_w", response->gain_bpm_per_w, 4);
    json_number(json, "gain_low_bpm_per_w", response->gain_low, 4);
    json_number(json, "gain_high_bpm_per_w", response->gain_high, 4);
    json_number(json, "rest_bpm", response->rest_bpm, 1);
    json_number(json, "drift_bpm_per_h", response->drift_bpm_per_h, 1);
    json_number(json, "error_bpm", response->error_bpm, 1);
    json_number(json, "day_sd_bpm", response->day_sd_bpm, 1);
    json_number(json, "threshold_w", response->threshold_w, 1);
    json_end_object(json);
}

void heart_json_rides(struct json *json, const char *key, const struct heart_response *response,
                      const struct response_ride rides[], size_t n)
{
    json_begin_array(json, key);
    for (size_t i = 0; i < n; i++) {
        char day[11];
        dates_format_day(rides[i].day, day);
        json_begin_object(json, NULL);
        json_integer(json, "ride", rides[i].id);
        json_string(json, "day", day);
        json_number(json, "power_w", rides[i].mean_w, 0);
        json_number(json, "against_usual_bpm",
                    response->day_bpm != NULL ? response->day_bpm[i] : (double)NAN, 1);
        json_end_object(json);
    }
    json_end_array(json);
}
