/* roster/csv_out.c: tables as RFC 4180 has them, safe for spreadsheets. */
#include "roster/csv_out.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

bool csv_open(struct csv_out *out, const char *path, struct error *err)
{
    *out = (struct csv_out){ .path = path };
    const int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (fd < 0) {
        return error_set(err, ERROR_STORAGE, "%s: cannot be written: %s", path, strerror(errno));
    }
    out->file = fdopen(fd, "w");
    if (out->file == NULL) {
        abort(); /* memory is out */
    }
    return true;
}

static void begin_cell(struct csv_out *out)
{
    if (out->has_cell) {
        fputc(',', out->file);
    }
    out->has_cell = true;
}

void csv_null(struct csv_out *out)
{
    begin_cell(out);
}

/* Source: the marks that OWASP's page on CSV injection names, and LF. */
static bool would_run(const char *text)
{
    const char first = text[strspn(text, "'")];
    return first != '\0' && strchr("=+-@\t\r\n", first) != NULL;
}

void csv_text(struct csv_out *out, const char *text)
{
    begin_cell(out);
    if (text == NULL) {
        return;
    }
    fputs(would_run(text) ? "\"'" : "\"", out->file);
    for (; *text != '\0'; text++) {
        if (*text == '"') {
            fputc('"', out->file);
        }
        fputc(*text, out->file);
    }
    fputc('"', out->file);
}

void csv_integer(struct csv_out *out, int64_t value)
{
    begin_cell(out);
    fprintf(out->file, "%lld", (long long)value);
}

void csv_real(struct csv_out *out, double value)
{
    begin_cell(out);
    if (isnan(value)) {
        return;
    }
    char text[40];
    for (int digits = 15; digits <= 17; digits++) {
        snprintf(text, sizeof text, "%.*g", digits, value);
        const double back = strtod(text, NULL);
        if (!(back < value) && !(back > value)) {
            break;
        }
    }
    fputs(text, out->file);
}

void csv_fixed(struct csv_out *out, double value, int decimals)
{
    begin_cell(out);
    if (!isnan(value)) {
        fprintf(out->file, "%.*f", decimals, value);
    }
}

void csv_end_row(struct csv_out *out)
{
    fputs("\r\n", out->file);
    out->has_cell = false;
}

bool csv_close(struct csv_out *out, struct error *err)
{
    const bool written =
        fflush(out->file) == 0 && ferror(out->file) == 0 && fsync(fileno(out->file)) == 0;
    const int cause = errno;
    const bool closed = fclose(out->file) == 0;
    out->file = NULL;
    return (written && closed) ||
           error_set(err, ERROR_STORAGE, "%s: cannot be written: %s", out->path, strerror(cause));
}
