/* cli/rider_acts.h: the acts of `plumbline rider`, and what they share. */
#ifndef CLI_RIDER_ACTS_H
#define CLI_RIDER_ACTS_H

#include "cli/entry_call.h"
#include "roster/availability.h"
#include "roster/riders.h"

extern const struct command command_rider_add;
extern const struct command command_rider_edit;
extern const struct command command_rider_list;
extern const struct command command_rider_show;
extern const struct command command_rider_goal;
extern const struct command command_rider_event;
extern const struct command command_rider_block;
extern const struct command command_rider_available;
extern const struct command command_rider_ill;
extern const struct command command_rider_injured;
extern const struct command command_rider_away;
extern const struct command command_rider_off;
extern const struct command command_rider_back;
extern const struct command command_rider_screening;
extern const struct command command_rider_flag;
extern const struct command command_rider_consent;
extern const struct command command_rider_contact;

extern const struct entry_act goal_act;
extern const struct entry_act event_act;
extern const struct entry_act block_act;
extern const struct entry_act day_off_act;
extern const struct entry_act screening_act;
extern const struct entry_act flag_act;
extern const struct entry_act consent_act;
extern const struct entry_act contact_act;

/* The rider with all that is in force on call->today, in words or as JSON. */
MUST_USE bool rider_show(struct roster_call *call, const struct rider *rider, struct error *err);

#endif
