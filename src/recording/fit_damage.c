/* recording/fit_damage.c: damage as findings and as one line. */
#include "recording/fit_damage.h"

#include "recording/damage_words.h"

static const char *detail_of(enum fit_harm harm)
{
    switch (harm) {
    case FIT_HARM_CUT: return "cut off";
    case FIT_HARM_MIDDLE: return "bytes that make no sense";
    case FIT_HARM_CHECKSUM: return "wrong checksum";
    case FIT_HARM_NOT_CLOSED: return "never closed";
    case FIT_HARM_WRONG_SIZE: return "wrong size in the header";
    case FIT_HARM_NO_CHECKSUM: return "no checksum";
    case FIT_HARM_HEADER: return "wrong checksum of the header";
    case FIT_HARM_BYTE_ORDER: return "wrong byte-order flag";
    case FIT_HARM_TRAILING: return "bytes after the end";
    case FIT_HARM_COUNT: break;
    }
    return "";
}

void fit_damage_report(struct arena *arena, struct recording *recording,
                       const struct fit_damage *damage, const struct fit_read_so_far *so_far)
{
    for (int h = 0; h < FIT_HARM_COUNT; h++) {
        if (!damage->has[h]) {
            continue;
        }
        struct finding *finding =
            recording_add_finding(arena, recording, "damage", -1, EFFECT_NOTED);
        finding->detail = detail_of((enum fit_harm)h);
        finding_add_number(finding, "records", (double)so_far->records);
        if (h == FIT_HARM_MIDDLE) {
            finding_add_number(finding, "at_byte", (double)damage->at);
        } else if (h == FIT_HARM_TRAILING) {
            finding_add_number(finding, "bytes", (double)damage->trailing);
        } else if (h == FIT_HARM_CUT && so_far->expected > 0) {
            finding_add_number(finding, "expected", (double)so_far->expected);
        }
    }
}

static const char *records_text(struct arena *arena, size_t records)
{
    return arena_format(arena, "%s record%s", damage_grouped(arena, records),
                        records == 1 ? "" : "s");
}

const char *fit_damage_line(struct arena *arena, const struct fit_damage *damage,
                            const struct fit_read_so_far *so_far)
{
    static const char *const again = "copy the file from the device again.";
    int worst = 0;
    while (worst < FIT_HARM_COUNT && !damage->has[worst]) {
        worst++;
    }
    const char *records = records_text(arena, so_far->records);
    const char *duration = damage_duration(arena, so_far->seconds);
    switch ((enum fit_harm)worst) {
    case FIT_HARM_CUT:
        return so_far->expected > 0
                   ? arena_format(arena,
                                  "cut off after %s (expected %s). The first %s were read; %s",
                                  records, damage_grouped(arena, so_far->expected), duration, again)
                   : arena_format(arena, "cut off after %s. The first %s were read; %s", records,
                                  duration, again);
    case FIT_HARM_MIDDLE:
        return arena_format(arena,
                            "makes no sense from byte %s on, after %s. The first %s were read; %s",
                            damage_grouped(arena, damage->at), records, duration, again);
    case FIT_HARM_CHECKSUM:
        return arena_format(arena,
                            "the checksum is wrong, so a value may be too. All %s were read; %s",
                            records, again);
    case FIT_HARM_NOT_CLOSED:
        return arena_format(
            arena, "was never closed by the device. All %s up to its end were read.", records);
    case FIT_HARM_WRONG_SIZE:
        return arena_format(arena, "its header gives a wrong size. All %s were read.", records);
    case FIT_HARM_NO_CHECKSUM:
        return arena_format(arena, "its checksum is missing. All %s were read.", records);
    case FIT_HARM_HEADER:
        return arena_format(arena, "the checksum of its header is wrong. All %s were read.",
                            records);
    case FIT_HARM_BYTE_ORDER:
        return arena_format(arena, "its byte-order flag is wrong. All %s were read the other way.",
                            records);
    case FIT_HARM_TRAILING:
        return arena_format(arena, "%s bytes after its end are no recording and were left out.",
                            damage_grouped(arena, damage->trailing));
    case FIT_HARM_COUNT: break;
    }
    return NULL;
}
