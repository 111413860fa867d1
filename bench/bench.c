/* bench/bench.c: clocks, counters, and the table of rows. */
#include "bench.h"

#include <errno.h>
#include <fcntl.h>
#include <malloc.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { RUNS = 9, MOST_CALLS = 100000 };

/* A run lasts about as long as this: far above the clock's own grain. */
static const double RUN_S = 5e-3;

static char folder[64]; /* of this run's files; "" until one is wanted */

void bench_begin(void)
{
    enum { KEEP = 1 << 30 };
    if (mallopt(M_MMAP_THRESHOLD, KEEP) == 0 || mallopt(M_TRIM_THRESHOLD, KEEP) == 0) {
        bench_note("the allocator can't be told to keep memory");
    }
}

void bench_must(bool done, const struct error *err)
{
    if (!done) {
        fprintf(stderr, "bench: %s\n", err->message);
        exit(1);
    }
}

size_t bench_asked(const char *name, size_t usual, size_t most)
{
    const char *word = getenv(name);
    const unsigned long n = word == NULL ? usual : strtoul(word, NULL, 10);
    return n < 1 ? 1 : n > most ? most : (size_t)n;
}

/* Time of this thread on a processor: others may be busy on the same machine. */
static double now_s(void)
{
    struct timespec now = { 0 };
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

static double run_s(struct bench_way way, size_t calls)
{
    const double begun = now_s();
    for (size_t i = 0; i < calls; i++) {
        way.call(way.with);
    }
    return (now_s() - begun) / (double)calls;
}

/* Warms up, and finds how many calls fill a run. */
static size_t calls_for(struct bench_way way)
{
    const double once_s = run_s(way, 1);
    const double again_s = once_s > RUN_S ? once_s : run_s(way, 1);
    const double calls = RUN_S / (again_s > 1e-9 ? again_s : 1e-9);
    return calls < 1 ? 1 : calls > MOST_CALLS ? MOST_CALLS : (size_t)calls;
}

static int by_value(const void *a, const void *b)
{
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return x < y ? -1 : x > y ? 1 : 0;
}

struct bench_spread bench_spread_of(double values[], size_t n)
{
    qsort(values, n, sizeof values[0], by_value);
    return (struct bench_spread){ values[n / 2], values[0], values[n - 1] };
}

struct bench_pair bench_pair(struct bench_way ours, struct bench_way peer)
{
    double ours_s[RUNS];
    double peer_s[RUNS];
    double ratio[RUNS];
    const size_t our_calls = calls_for(ours);
    const size_t peer_calls = calls_for(peer);
    for (size_t i = 0; i < RUNS; i++) {
        ours_s[i] = run_s(ours, our_calls);
        peer_s[i] = run_s(peer, peer_calls);
        ratio[i] = peer_s[i] / ours_s[i];
    }
    return (struct bench_pair){ bench_spread_of(ours_s, RUNS).middle,
                                bench_spread_of(peer_s, RUNS).middle,
                                bench_spread_of(ratio, RUNS) };
}

double bench_seconds_once(struct bench_way way)
{
    return run_s(way, calls_for(way));
}

double bench_seconds(struct bench_way way)
{
    double times[RUNS];
    const size_t calls = calls_for(way);
    for (size_t i = 0; i < RUNS; i++) {
        times[i] = run_s(way, calls);
    }
    return bench_spread_of(times, RUNS).middle;
}

/* ---- other processes ---- */

static pid_t start(const char *const command[], const char *errors_to)
{
    fflush(NULL);
    const pid_t child = fork();
    if (child == 0) {
        const int nowhere = open("/dev/null", O_WRONLY | O_CLOEXEC);
        const int errors = errors_to != NULL
                               ? open(errors_to, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600)
                               : nowhere;
        if (dup2(nowhere, STDOUT_FILENO) >= 0 && dup2(errors, STDERR_FILENO) >= 0) {
            /* exec takes no const by its history; it changes nothing. */
            execvp(command[0], (char *const *)(uintptr_t)command);
        }
        _exit(127);
    }
    return child;
}

/* What a command that ended badly said: without it a row is ABSENT and nobody knows why. */
static void tell_failure(const char *const command[], int status, const char *log)
{
    char line[160] = "";
    FILE *file = fopen(log, "re");
    for (char next[160]; file != NULL && fgets(next, sizeof next, file) != NULL;) {
        if (strstr(next, "Error") != NULL || line[0] == '\0') {
            memcpy(line, next, sizeof line);
        }
    }
    if (file != NULL) {
        fclose(file);
    }
    line[strcspn(line, "\n")] = '\0';
    bench_note("%s %s ended with %s %d: %s", command[0], command[1] == NULL ? "" : command[1],
               WIFSIGNALED(status) ? "signal" : "status",
               WIFSIGNALED(status) ? WTERMSIG(status) : WEXITSTATUS(status), line);
}

struct bench_usage bench_usage(const char *const command[])
{
    struct arena *arena = arena_open();
    const char *log = bench_file(arena, "errors.log", "", 0);
    struct rusage usage = { 0 };
    int status = 0;
    const pid_t child = start(command, log);
    const bool waited = child > 0 && wait4(child, &status, 0, &usage) == child;
    if (!waited || !WIFEXITED(status) || WEXITSTATUS(status) != 0) {
        tell_failure(command, status, log);
    }
    arena_close(arena);
    if (!waited) {
        return (struct bench_usage){ (double)NAN, (double)NAN, false };
    }
    return (struct bench_usage){
        .cpu_s = (double)(usage.ru_utime.tv_sec + usage.ru_stime.tv_sec) +
                 (double)(usage.ru_utime.tv_usec + usage.ru_stime.tv_usec) / 1e6,
        .peak_bytes = (double)usage.ru_maxrss * 1024.0,
        .ended_well = WIFEXITED(status) && WEXITSTATUS(status) == 0,
    };
}

/* Callgrind ends with "==pid== Collected : 123456" on stderr. */
static double collected(const char *path)
{
    char line[256];
    double count = (double)NAN;
    FILE *file = fopen(path, "re");
    while (file != NULL && fgets(line, sizeof line, file) != NULL) {
        const char *at = strstr(line, "Collected : ");
        count = at != NULL ? strtod(at + strlen("Collected : "), NULL) : count;
    }
    if (file != NULL) {
        fclose(file);
    }
    return count;
}

const char *bench_self(void)
{
    static char self[4096];
    const ssize_t length = readlink("/proc/self/exe", self, sizeof self - 1);
    self[length > 0 ? length : 0] = '\0';
    return self;
}

static double count_once(const char *way, const char *size)
{
    struct arena *arena = arena_open();
    const char *log = bench_file(arena, "callgrind.log", "", 0);
    const char *const command[] = { "valgrind",
                                    "--tool=callgrind",
                                    "--callgrind-out-file=/dev/null",
                                    bench_self(),
                                    "once",
                                    way,
                                    size,
                                    NULL };
    int status = 0;
    const pid_t child = start(command, log);
    const bool ended = child > 0 && waitpid(child, &status, 0) == child && WIFEXITED(status) &&
                       WEXITSTATUS(status) == 0;
    const double count = ended ? collected(log) : (double)NAN;
    arena_close(arena);
    return count;
}

double bench_instructions(const char *way, size_t size)
{
    char text[32];
    snprintf(text, sizeof text, "%zu", size);
    return count_once(way, text) - count_once("none", text);
}

/* ---- files ---- */

static void remove_folder(void)
{
    char command[96];
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    if (system(command) != 0) {
        fprintf(stderr, "%s: couldn't be removed\n", folder);
    }
}

const char *bench_file(struct arena *arena, const char *name, const void *bytes, size_t size)
{
    if (folder[0] == '\0') {
        snprintf(folder, sizeof folder, "/tmp/plumbline-bench-XXXXXX");
        if (mkdtemp(folder) == NULL || atexit(remove_folder) != 0) {
            perror(folder);
            exit(1);
        }
    }
    const char *path = arena_format(arena, "%s/%s", folder, name);
    FILE *file = fopen(path, "we");
    if (file == NULL || fwrite(bytes, 1, size, file) != size || fclose(file) != 0) {
        perror(path);
        exit(1);
    }
    return path;
}

/* ---- rows ---- */

static void print_value(char *out, size_t room, double value, const char *unit)
{
    if (isnan(value)) {
        snprintf(out, room, "-");
    } else if (strcmp(unit, "s") == 0) {
        const bool micro = value < 1e-4;
        const bool whole = value >= 1.0;
        snprintf(out, room, "%.3g %s",
                 value * (micro   ? 1e6
                          : whole ? 1.0
                                  : 1e3),
                 micro   ? "us"
                 : whole ? "s"
                         : "ms");
    } else if (strcmp(unit, "instructions") == 0) {
        snprintf(out, room, "%.4g M", value / 1e6);
    } else if (strcmp(unit, "bytes") == 0) {
        snprintf(out, room, "%.1f MB", value / 1e6);
    } else {
        snprintf(out, room, "%.3g", value);
    }
}

static const char *verdict_of(const struct bench_row *row)
{
    if (row->sense == BENCH_SHOWN || isnan(row->wanted)) {
        return "";
    }
    const bool met = row->sense == BENCH_AT_LEAST ? row->ratio.middle >= row->wanted
                                                  : row->ratio.middle <= row->wanted;
    return met ? "met" : "MISSED";
}

static const char *sign_of(const struct bench_row *row)
{
    return row->sense == BENCH_AT_LEAST ? ">=" : row->sense == BENCH_AT_MOST ? "<=" : "";
}

/* One line of tab-separated values for ./do bench --save. */
static void keep(const struct bench_row *row, const char *verdict)
{
    const char *path = getenv("PLUMBLINE_BENCH_ROWS");
    FILE *file = path != NULL ? fopen(path, "ae") : NULL;
    if (file == NULL) {
        return;
    }
    fprintf(file, "%s\t%s\t%s\t%.6g\t%.6g\t%s\t%.5g\t%.5g\t%.5g\t%s\t", row->goal, row->what,
            row->peer, row->ours, row->peer_value, row->unit, row->ratio.middle, row->ratio.low,
            row->ratio.high, sign_of(row));
    if (!isnan(row->wanted) && row->sense != BENCH_SHOWN) {
        fprintf(file, "%.5g", row->wanted);
    }
    fprintf(file, "\t%s\n", verdict);
    fclose(file);
}

void bench_title(const char *title)
{
    printf("\n%s\n%-4s %-42s %10s  %-34s %10s %9s %-17s %s\n", title, "goal", "", "ours", "against",
           "it takes", "ratio", "(lowest-highest)", "wanted");
    fflush(stdout);
}

void bench_row(const struct bench_row *row)
{
    char ours[32];
    char peer[32];
    char spread[40] = "";
    const char *verdict = verdict_of(row);
    print_value(ours, sizeof ours, row->ours, row->unit);
    print_value(peer, sizeof peer, row->peer_value, row->unit);
    if (row->ratio.low < row->ratio.high) {
        snprintf(spread, sizeof spread, "(%.3g-%.3g)", row->ratio.low, row->ratio.high);
    }
    printf("%-4s %-42s %10s  %-34s %10s %9.4g %-17s", row->goal, row->what, ours, row->peer, peer,
           row->ratio.middle, spread);
    if (verdict[0] != '\0') {
        printf(" %s %.3g %s", sign_of(row), row->wanted, verdict);
    }
    printf("\n");
    fflush(stdout);
    keep(row, verdict);
}

void bench_faster(const char *goal, const char *what, const char *peer, struct bench_pair pair,
                  double wanted)
{
    bench_row(&(struct bench_row){ goal, what, peer, pair.ours_s, pair.peer_s, "s", pair.ratio,
                                   isnan(wanted) ? BENCH_SHOWN : BENCH_AT_LEAST, wanted });
}

void bench_within(const char *goal, const char *what, const char *peer, struct bench_pair pair,
                  double wanted)
{
    const struct bench_spread turned = { 1.0 / pair.ratio.middle, 1.0 / pair.ratio.high,
                                         1.0 / pair.ratio.low };
    bench_row(&(struct bench_row){ goal, what, peer, pair.ours_s, pair.peer_s, "s", turned,
                                   isnan(wanted) ? BENCH_SHOWN : BENCH_AT_MOST, wanted });
}

void bench_counts(const char *goal, const char *what, const char *peer, double ours, double peer_n,
                  const char *unit, enum bench_sense sense, double wanted)
{
    if (isnan(ours) || isnan(peer_n)) {
        bench_absent(goal, what, "valgrind");
        return;
    }
    const double ratio = sense == BENCH_AT_MOST ? ours / peer_n : peer_n / ours;
    bench_row(&(struct bench_row){
        goal, what, peer, ours, peer_n, unit, { ratio, ratio, ratio }, sense, wanted });
}

void bench_agrees(const char *goal, const char *what, const char *peer, double difference,
                  double allowed)
{
    const double none = (double)NAN;
    bench_row(&(struct bench_row){ goal,
                                   what,
                                   peer,
                                   none,
                                   none,
                                   "",
                                   { difference, difference, difference },
                                   BENCH_AT_MOST,
                                   allowed });
}

/* A row without figures. */
static void keep_words(const char *goal, const char *what, const char *peer, const char *verdict)
{
    const double none = (double)NAN;
    keep(
        &(struct bench_row){
            goal, what, peer, none, none, "", { none, none, none }, BENCH_SHOWN, none },
        verdict);
}

void bench_differs(const char *goal, const char *what, const char *peer, const char *how)
{
    printf("%-4s %-42s the answers of %s differ: %s\n", goal, what, peer, how);
    keep_words(goal, what, peer, "DIFFERS");
}

void bench_absent(const char *goal, const char *what, const char *peer)
{
    printf("%-4s %-42s not measured: %s isn't there\n", goal, what, peer);
    keep_words(goal, what, peer, "ABSENT");
}

void bench_note(const char *format, ...)
{
    va_list words;
    va_start(words, format);
    printf("  ");
    vprintf(format, words);
    printf("\n");
    va_end(words);
}

double bench_difference(const double a[], const double b[], size_t n, double floor)
{
    double most = 0;
    for (size_t i = 0; i < n; i++) {
        const double size = fmax(fabs(b[i]), floor);
        const double off = fabs(a[i] - b[i]) / (size > 0 ? size : 1.0);
        most = isnan(off) && !(isnan(a[i]) && isnan(b[i])) ? (double)INFINITY : fmax(most, off);
    }
    return most;
}
