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
/* The code of the finding that it must raise: "power-spike", "power-dropout", ... */
const char *simulated_fault_name(enum simulated_fault fault);

/* Changes the samples of the ride; returns the seconds that were touched, half open.  The truth
 * beside the samples stays.  Place, size and length differ by seed, all beyond what a sound sensor
 * does.  {0, 0} and nothing changed when the ride offers no place for it: no effort for the
 * trainer to hold, no change of power for a flat heart rate to miss, no cadence, too short.
 *
 *   power spike        1-2 s of 700 W above the ride, or of 2.1 to 47 kW, half with a cadence spike
 *   power dropout      8-90 s missing (half with cadence), or 7-60 s of 0 W while the legs turn
 *   power stuck        20-180 s of one value while cadence moves
 *   trainer held       power in all efforts within 0.4-1.0 % of their means
 *   heart dropout      15-300 s missing, or written as 0
 *   heart flat         75-240 s of one value across a change of power of more than 30 %
 *   heart jump         25-70 beats up, now and then 30-50 down, within 2 s, back within 50 s
 *   cadence lock       2-15 min of the legs' rhythm in the heart's place
 *   heart above max    8-60 s at 5 to 14 beats over the rider's maximum, come to within 20-40 s
 *   balance drift      9-15 points to one side in a straight line over the ride
 *   hot                28-37 degrees all along, or up by 6-10 degrees after minute 15, to 25 or
 * more
 */
struct span simulated_fault_add(struct arena *arena, struct simulated_ride *ride,
                                enum simulated_fault fault, uint64_t seed);

/* The same with its size set; NAN = by seed.
 *
 *   power spike                           watts above the eight seconds on either side
 *   power dropout, power stuck,
 *   heart dropout, heart flat, lock       seconds (heart flat: 55 at least)
 *   trainer held                          scatter inside the efforts, %
 *   heart jump, heart above max           beats
 *   balance drift                         points from start to end
 *   hot                                   degrees C, all along */
struct span simulated_fault_add_sized(struct arena *arena, struct simulated_ride *ride,
                                      enum simulated_fault fault, double size, uint64_t seed);

#endif
