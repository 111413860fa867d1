/* cli/note.h: what the two halves of plumbline note share. */
#ifndef CLI_NOTE_H
#define CLI_NOTE_H

#include "cli/roster_call.h"
#include "server/answers/notes.h"

/* Reads a reply from standard input, shows what was understood, asks or takes `yes`, and stores it
 * as the note, whose day and ride are set. */
MUST_USE bool note_paste(struct roster_call *call, const struct rider *rider, struct day_note *note,
                         bool yes, struct error *err);

#endif
