/* recording/gpx_encoding.h: single-byte encodings that expat doesn't know.
 *
 * Expat itself reads UTF-8, UTF-16, ISO-8859-1 and US-ASCII.  Here are windows-1252 ("cp1252"), as
 * Windows programs write it, and ISO-8859-15. */
#ifndef RECORDING_GPX_ENCODING_H
#define RECORDING_GPX_ENCODING_H

#include <expat.h>
#include <stdbool.h>

/* Fills expat's table; false for any other name.  Names are compared in small letters. */
bool gpx_encoding_fill(const char *name, XML_Encoding *out);

#endif
