/* base/arena.c: blocks of memory in a list. */
#include "base/arena.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define ARENA_ALIGN      16u
#define ARENA_FIRST_SIZE (16u * 1024u)
#define ARENA_LARGE_SIZE (1024u * 1024u)

struct block {
    struct block *next;
    size_t size; /* of the bytes after the head */
    size_t used;
    size_t pad; /* keeps the bytes after the head aligned */
};

struct arena {
    struct block *first; /* the block that is being filled */
    size_t next_size;    /* of the next ordinary block */
    size_t bytes;        /* handed out */
};

/* The one place where running out of memory ends the program. */
static void *allocate_or_abort(size_t size, bool cleared)
{
    void *bytes = cleared ? calloc(1, size) : malloc(size);
    if (bytes == NULL) {
        fprintf(stderr,
                "plumbline: out of memory (%zu bytes); close other programs and try again\n", size);
        abort();
    }
    return bytes;
}

struct arena *arena_open(void)
{
    struct arena *arena = allocate_or_abort(sizeof *arena, true);
    arena->next_size = ARENA_FIRST_SIZE;
    return arena;
}

void arena_close(struct arena *arena)
{
    if (arena == NULL) {
        return;
    }
    struct block *block = arena->first;
    while (block != NULL) {
        struct block *next = block->next;
        free(block);
        block = next;
    }
    free(arena);
}

/* A block with room for `wanted` bytes.  One for a large request stands behind the block that is
 * being filled, so that the rest of that one isn't lost. */
static struct block *block_add(struct arena *arena, size_t wanted)
{
    const size_t size = wanted > arena->next_size ? wanted : arena->next_size;
    struct block *block = allocate_or_abort(sizeof *block + size, true);
    block->size = size;
    if (wanted > arena->next_size && arena->first != NULL) {
        block->next = arena->first->next;
        arena->first->next = block;
        return block;
    }
    block->next = arena->first;
    arena->first = block;
    if (arena->next_size < ARENA_LARGE_SIZE) {
        arena->next_size *= 2;
    }
    return block;
}

/* The bytes of a request, rounded up so that the next one is aligned. */
static size_t size_or_abort(size_t count, size_t size)
{
    size_t wanted = 0;
    if (__builtin_mul_overflow(count, size, &wanted) ||
        wanted > SIZE_MAX - sizeof(struct block) - ARENA_ALIGN) {
        fprintf(stderr, "plumbline: a size overflowed\n");
        abort();
    }
    wanted = (wanted + ARENA_ALIGN - 1u) & ~(size_t)(ARENA_ALIGN - 1u);
    return wanted == 0 ? ARENA_ALIGN : wanted;
}

static bool has_room(const struct block *block, size_t wanted)
{
    return block != NULL && block->size - block->used >= wanted;
}

void *arena_alloc(struct arena *arena, size_t count, size_t size)
{
    const size_t wanted = size_or_abort(count, size);
    struct block *block = arena->first;
    if (!has_room(block, wanted)) {
        block = block_add(arena, wanted);
    }
    void *bytes = (char *)(block + 1) + block->used;
    block->used += wanted;
    arena->bytes += wanted;
    return bytes;
}

void *arena_raw(struct arena *arena, size_t count, size_t size)
{
    const size_t wanted = size_or_abort(count, size);
    if (wanted < ARENA_FIRST_SIZE || has_room(arena->first, wanted)) {
        return arena_alloc(arena, count, size);
    }
    /* A block of its own, full from the start, behind the one that is being filled. */
    struct block *block = allocate_or_abort(sizeof *block + wanted, false);
    *block = (struct block){ .size = wanted, .used = wanted };
    if (arena->first == NULL) {
        arena->first = block;
    } else {
        block->next = arena->first->next;
        arena->first->next = block;
    }
    arena->bytes += wanted;
    return block + 1;
}

void *arena_copy(struct arena *arena, const void *bytes, size_t size)
{
    void *copy = arena_alloc(arena, size, 1);
    if (size > 0) {
        memcpy(copy, bytes, size);
    }
    return copy;
}

char *arena_string(struct arena *arena, const char *text)
{
    return text == NULL ? NULL : arena_copy(arena, text, strlen(text) + 1);
}

char *arena_format(struct arena *arena, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    const int length = vsnprintf(NULL, 0, format, args);
    va_end(args);
    const size_t size = length < 0 ? 1 : (size_t)length + 1;
    char *text = arena_alloc(arena, size, 1);
    va_start(args, format);
    if (length > 0) {
        vsnprintf(text, size, format, args);
    }
    va_end(args);
    return text;
}

void *arena_grow(struct arena *arena, void *array, size_t count, size_t *capacity, size_t size)
{
    if (count < *capacity) {
        return array;
    }
    const size_t wider = *capacity == 0 ? 16 : *capacity * 2;
    void *bytes = arena_alloc(arena, wider, size);
    if (count > 0) {
        memcpy(bytes, array, count * size);
    }
    *capacity = wider;
    return bytes;
}

size_t arena_bytes(const struct arena *arena)
{
    return arena->bytes;
}
