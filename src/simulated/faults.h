/* simulated/faults.h: what sensors get wrong, put into an honest ride on purpose. */
#ifndef SIMULATED_FAULTS_H
#define SIMULATED_FAULTS_H

#include "simulated/ride.h"

enum simulated_fault {
    SIMULATED_FAULT_POWER_SPIKE,
    SIMULATED_FAULT_POWER_DROPOUT_MISSING,
    SIMULATED_FAULT_POWER_DROPOUT_ZERO, /* 0 W while the legs turn */
    SIMULATED_FAULT_POWER_STUCK,
    SIMULATED_FAULT_TRAINER_HELD, /* the trainer holds the target inside reps */
    SIMULATED_FAULT_HEART_DROPOUT,
    SIMULATED_FAULT_HEART_FLAT,
    SIMULATED_FAULT_HEART_JUMP,
    SIMULATED_FAULT_CADENCE_LOCK,
    SIMULATED_FAULT_HEART_ABOVE_MAX,
    SIMULATED_FAULT_BALANCE_DRIFT,
    SIMULATED_FAULT_HOT,
    SIMULATED_FAULT_COUNT
};
const char *simulated_fault_name(enum simulated_fault fault); /* the finding's code it must raise */

/* Changes the samples of the ride; returns the seconds that were touched. */
struct span simulated_fault_add(struct arena *arena, struct simulated_ride *ride,
                                enum simulated_fault fault, uint64_t seed);

#endif
