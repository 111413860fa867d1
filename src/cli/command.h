/* cli/command.h: the table of commands. */
#ifndef CLI_COMMAND_H
#define CLI_COMMAND_H

#include "cli/options.h"

struct command {
    const char *name;    /* "rides"; "rider goal" for an act of another command */
    const char *usage;   /* after the name: "FILE... [options]" */
    const char *summary; /* one line in the list of commands */
    const char *about;   /* the paragraphs of --help, one string a paragraph, NULL ends */
    const struct option_row *options;
    size_t n_options;
    const struct command *const *acts;        /* ends with NULL; NULL = none.  cli/acts.h */
    int (*run)(int argc, char *const argv[]); /* argv[0] is the command's name; exit status */
};

extern const struct command command_read;
extern const struct command command_rider;
extern const struct command command_threshold;
extern const struct command command_weight;
extern const struct command command_max_heart_rate;
extern const struct command command_rest_heart_rate;
extern const struct command command_equipment;
extern const struct command command_meters;
extern const struct command command_zones;
extern const struct command command_note;
extern const struct command command_import;
extern const struct command command_rides;
extern const struct command command_show;
extern const struct command command_bests;
extern const struct command command_asked;
extern const struct command command_mark;
extern const struct command command_week;
extern const struct command command_who;
extern const struct command command_progress;
extern const struct command command_load;
extern const struct command command_critical;
extern const struct command command_heart;
extern const struct command command_teach;
extern const struct command command_session;
extern const struct command command_next;
extern const struct command command_recordings;
extern const struct command command_jobs;
extern const struct command command_handover;
extern const struct command command_undo;
extern const struct command command_backup;
extern const struct command command_check;
extern const struct command command_export;
extern const struct command command_forget;
extern const struct command command_restore;
extern const struct command command_roster;
extern const struct command command_example;
extern const struct command command_serve;
extern const struct command command_password;
extern const struct command command_limits;
extern const struct command command_help_table;

/* Every command, in the order of the overview. */
extern const struct command *const command_table[];
extern const size_t command_count;

/* A command, or an act ("rider goal"); NULL if none is called so. */
const struct command *command_named(const char *name);

/* The name of the command that was probably meant; NULL if none is near. */
const char *command_nearest(const char *word);

/* Prints "plumbline NAME: message" on stderr and returns the exit status of its kind. */
int command_fail(const char *name, const struct error *err);

/* Prints a command's help on stdout; returns 0, or 1 when stdout can't take it. */
int command_help(const struct command *command);

/* The same page in *out. */
void command_add_help(struct text *out, const struct command *command);

/* Puts text on stdout; a closed pipe is no error, a full disk is (1). */
int command_print(const char *bytes, size_t length);

#endif
