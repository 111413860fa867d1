/* recording/fit_write_head.h: what stands before the first record of an activity: which file this
 * is, fields of the writer's own, what recorded, which sensors were connected, the rider's weight.
 */
#ifndef RECORDING_FIT_WRITE_HEAD_H
#define RECORDING_FIT_WRITE_HEAD_H

#include "recording/fit_out.h"
#include "recording/fit_write.h"

/* One local number a shape of message; records with compressed time need one below 4. */
enum fit_local {
    FIT_LOCAL_RECORD,
    FIT_LOCAL_RECORD_COMPRESSED,
    FIT_LOCAL_FILE_ID,
    FIT_LOCAL_DEVELOPER,
    FIT_LOCAL_DESCRIPTION,
    FIT_LOCAL_DEVICE,
    FIT_LOCAL_SENSOR,
    FIT_LOCAL_PROFILE,
    FIT_LOCAL_SCALE,
    FIT_LOCAL_EVENT,
    FIT_LOCAL_CALIBRATION,
    FIT_LOCAL_LAP,
    FIT_LOCAL_SESSION,
    FIT_LOCAL_ACTIVITY,
};

/* start: FIT time of the session's start; developer_power: power is a field of the writer's own. */
void fit_write_head(struct fit_out_file *writer, const struct fit_activity *activity, int64_t start,
                    bool developer_power);

#endif
