/* server/routes.h: the handlers of the API's answers from the roster; server/routes.c says which
 * route has which, api/openapi.yaml what each takes and gives. */
#ifndef SERVER_ROUTES_H
#define SERVER_ROUTES_H

#include "server/api.h"

/* routes_who.c */
MUST_USE bool route_get_session(struct api_call *call, struct error *err);
MUST_USE bool route_post_looked(struct api_call *call, struct error *err);
MUST_USE bool route_get_who(struct api_call *call, struct error *err);
MUST_USE bool route_post_who_mark(struct api_call *call, struct error *err);

/* routes_record.c */
MUST_USE bool route_get_record(struct api_call *call, struct error *err);

/* routes_riders.c */
MUST_USE bool route_get_riders(struct api_call *call, struct error *err);
MUST_USE bool route_get_rider(struct api_call *call, struct error *err);
MUST_USE bool route_post_rider(struct api_call *call, struct error *err);
MUST_USE bool route_put_rider(struct api_call *call, struct error *err);

/* routes_weeks.c */
MUST_USE bool route_get_weeks(struct api_call *call, struct error *err);
MUST_USE bool route_get_rides(struct api_call *call, struct error *err);
MUST_USE bool route_get_bests(struct api_call *call, struct error *err);
MUST_USE bool route_get_figure(struct api_call *call, struct error *err);

/* routes_power.c */
MUST_USE bool route_get_critical(struct api_call *call, struct error *err);
MUST_USE bool route_get_heart(struct api_call *call, struct error *err);
MUST_USE bool route_get_teach(struct api_call *call, struct error *err);
MUST_USE bool route_get_ride_heart(struct api_call *call, struct error *err);

/* routes_ride.c */
MUST_USE bool route_get_ride(struct api_call *call, struct error *err);
MUST_USE bool route_get_traces(struct api_call *call, struct error *err);
MUST_USE bool route_get_ride_figure(struct api_call *call, struct error *err);
MUST_USE bool route_post_mark(struct api_call *call, struct error *err);
MUST_USE bool route_post_asked(struct api_call *call, struct error *err);
MUST_USE bool route_post_main_recording(struct api_call *call, struct error *err);
MUST_USE bool route_post_own_ride(struct api_call *call, struct error *err);

/* routes_facts.c */
MUST_USE bool route_post_threshold(struct api_call *call, struct error *err);
MUST_USE bool route_put_threshold(struct api_call *call, struct error *err);
MUST_USE bool route_delete_threshold(struct api_call *call, struct error *err);
MUST_USE bool route_post_weight(struct api_call *call, struct error *err);
MUST_USE bool route_put_weight(struct api_call *call, struct error *err);
MUST_USE bool route_delete_weight(struct api_call *call, struct error *err);
MUST_USE bool route_post_max_heart_rate(struct api_call *call, struct error *err);
MUST_USE bool route_put_max_heart_rate(struct api_call *call, struct error *err);
MUST_USE bool route_delete_max_heart_rate(struct api_call *call, struct error *err);
MUST_USE bool route_post_rest_heart_rate(struct api_call *call, struct error *err);
MUST_USE bool route_put_rest_heart_rate(struct api_call *call, struct error *err);
MUST_USE bool route_delete_rest_heart_rate(struct api_call *call, struct error *err);

/* routes_entries.c */
MUST_USE bool route_post_goal(struct api_call *call, struct error *err);
MUST_USE bool route_put_goal(struct api_call *call, struct error *err);
MUST_USE bool route_delete_goal(struct api_call *call, struct error *err);
MUST_USE bool route_post_event(struct api_call *call, struct error *err);
MUST_USE bool route_put_event(struct api_call *call, struct error *err);
MUST_USE bool route_delete_event(struct api_call *call, struct error *err);
MUST_USE bool route_post_block(struct api_call *call, struct error *err);
MUST_USE bool route_put_block(struct api_call *call, struct error *err);
MUST_USE bool route_delete_block(struct api_call *call, struct error *err);
MUST_USE bool route_post_day_off(struct api_call *call, struct error *err);
MUST_USE bool route_put_day_off(struct api_call *call, struct error *err);
MUST_USE bool route_delete_day_off(struct api_call *call, struct error *err);
MUST_USE bool route_post_screening(struct api_call *call, struct error *err);
MUST_USE bool route_put_screening(struct api_call *call, struct error *err);
MUST_USE bool route_delete_screening(struct api_call *call, struct error *err);
MUST_USE bool route_post_flag(struct api_call *call, struct error *err);
MUST_USE bool route_put_flag(struct api_call *call, struct error *err);
MUST_USE bool route_delete_flag(struct api_call *call, struct error *err);
MUST_USE bool route_post_consent(struct api_call *call, struct error *err);
MUST_USE bool route_put_consent(struct api_call *call, struct error *err);
MUST_USE bool route_delete_consent(struct api_call *call, struct error *err);
MUST_USE bool route_post_contact(struct api_call *call, struct error *err);
MUST_USE bool route_put_contact(struct api_call *call, struct error *err);
MUST_USE bool route_delete_contact(struct api_call *call, struct error *err);

/* routes_days.c */
MUST_USE bool route_put_availability(struct api_call *call, struct error *err);
MUST_USE bool route_delete_availability(struct api_call *call, struct error *err);
MUST_USE bool route_get_notes(struct api_call *call, struct error *err);
MUST_USE bool route_post_note(struct api_call *call, struct error *err);
MUST_USE bool route_put_note(struct api_call *call, struct error *err);
MUST_USE bool route_delete_note(struct api_call *call, struct error *err);

/* routes_next.c */
MUST_USE bool route_get_next(struct api_call *call, struct error *err);
MUST_USE bool route_post_next(struct api_call *call, struct error *err);
MUST_USE bool route_post_withdrawal(struct api_call *call, struct error *err);

/* routes_sessions.c */
MUST_USE bool route_get_library(struct api_call *call, struct error *err);
MUST_USE bool route_put_own_session(struct api_call *call, struct error *err);
MUST_USE bool route_delete_own_session(struct api_call *call, struct error *err);
MUST_USE bool route_get_sessions(struct api_call *call, struct error *err);
MUST_USE bool route_get_rider_session(struct api_call *call, struct error *err);
MUST_USE bool route_post_session_words(struct api_call *call, struct error *err);
MUST_USE bool route_post_rider_session(struct api_call *call, struct error *err);
MUST_USE bool route_put_rider_session(struct api_call *call, struct error *err);
MUST_USE bool route_delete_rider_session(struct api_call *call, struct error *err);
MUST_USE bool route_post_session_state(struct api_call *call, struct error *err);
MUST_USE bool route_post_session_copies(struct api_call *call, struct error *err);
MUST_USE bool route_get_ride_session(struct api_call *call, struct error *err);
MUST_USE bool route_get_session_workout(struct api_call *call, struct error *err);
MUST_USE bool route_get_session_card(struct api_call *call, struct error *err);
MUST_USE bool route_get_session_calendar(struct api_call *call, struct error *err);
MUST_USE bool route_get_rider_calendar(struct api_call *call, struct error *err);

/* routes_changes.c */
MUST_USE bool route_get_changes(struct api_call *call, struct error *err);
MUST_USE bool route_post_undo(struct api_call *call, struct error *err);

/* routes_work.c */
MUST_USE bool route_post_import(struct api_call *call, struct error *err);

#endif
