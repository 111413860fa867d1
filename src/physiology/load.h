/* physiology/load.h: how much was ridden, in plain amounts.
 *
 * Hours, work, minutes in zones, training impulse, session-RPE; no single score is made of them,
 * and none of them says how fit or how tired a rider is.  Everything of a ride is summed over the
 * seconds that can be trusted; what too little of the ride supports is NAN. */
#ifndef PHYSIOLOGY_LOAD_H
#define PHYSIOLOGY_LOAD_H

#include "physiology/facts.h"

/* Zones of heart rate by share of the reserve between rest and maximum: very light below 30 %,
 * light to 39, moderate to 59, vigorous to 89, near maximal from 90 (ACSM, Guidelines for Exercise
 * Testing and Prescription, from memory). */
enum heart_zone {
    HEART_VERY_LIGHT,
    HEART_LIGHT,
    HEART_MODERATE,
    HEART_VIGOROUS,
    HEART_NEAR_MAXIMAL,
    HEART_ZONES
};
const char *heart_zone_name(enum heart_zone zone); /* "very light", "light", ... */

/* The zone of a share of reserve (0.7 = 70 %). */
enum heart_zone heart_zone_of(double reserve_ratio);

/* (heart rate - rest) / (max - rest): Karvonen, Kentala and Mustala 1957, Ann Med Exp Biol Fenn
 * 35:307 (from memory).  NAN unless max > rest. */
double load_reserve_ratio(double heart_bpm, double rest_bpm, double max_bpm);

/* Banister's training impulse of some minutes at one share of reserve x:
 *
 *     minutes * x * 0.64 e^(1.92 x)   men
 *     minutes * x * 0.86 e^(1.67 x)   women
 *
 * (Morton, Fitz-Clarke and Banister 1990, J Appl Physiol 69:1171; Banister 1991).  Below rest it
 * is 0, above the maximum that of the maximum.  NAN with SEX_UNSET: the formulas differ. */
double load_impulse(double minutes, double reserve_ratio, enum rider_sex sex);

struct ride_load {
    double hours;                     /* while the timer ran */
    double work_kj;                   /* NAN without power */
    double zone_s[ZONES_MOST];        /* of facts->zones; NAN without power or threshold */
    double heart_zone_s[HEART_ZONES]; /* NAN without heart rate, rest and maximum, with medicine
                                         that alters it, and while pregnant */
    double impulse_low;               /* training impulse; the two formulas where no sex is set, */
    double impulse_high;              /* else one and the same */
    double session_rpe;               /* effort 0-10 x minutes (Foster et al. 2001, J Strength Cond
                                         Res 15:109); NAN without the rider's effort */
    double above_threshold_s;         /* with the mean of 30 s above threshold; NAN as zone_s */
    double power_coverage;            /* usable seconds over seconds ridden; NAN without */
    double heart_coverage;
};

/* effort_0_10: the coach's or the rider's word; NAN = as the recording says, if it does.
 * Other sports give hours, heart rate and effort; power says nothing there. */
struct ride_load load_of(struct arena *arena, const struct recording *recording,
                         const struct rider_facts *facts, const struct limits *limits,
                         double effort_0_10);

/* A week of daily amounts (session-RPE, say), 0 on days without; Foster 1998, Med Sci Sports Exerc
 * 30:1164.  The standard deviation is that with n - 1. */
struct load_week {
    double total;
    double mean;
    double monotony; /* mean / sd; NAN when all days are equal */
    double strain;   /* total x monotony */
};
struct load_week load_week(const double days[7]);

/* Is a week a jump?  More than LIMIT_LOAD_JUMP_RATIO times the mean of the last four weeks that
 * were neither ill nor away, and more than LIMIT_LOAD_JUMP_HOURS above it (common practice, no
 * source; the literature is divided).
 *   before[n]   hours of earlier weeks, the newest first; NAN = a week ill, away, or not known
 * With fewer than LIMIT_LOAD_JUMP_WEEKS usable weeks nothing is said: both hours are NAN then. */
struct load_jump {
    double usual_hours;
    double line_hours; /* more than this is a jump */
    bool is_jump;
};
struct load_jump load_jump(double hours, const double before[], size_t n,
                           const struct limits *limits);

#endif
