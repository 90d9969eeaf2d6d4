/* A table from names to things, open addressing; its order is never looked at. */
#include <string.h>

#include "design/reader.h"

/* Half of the slots at least are free, so that each search ends, and ends soon. */
struct fl_lookup_slot {
    const char *name; /* NULL: free */
    void *thing;
};

/* A power of two, as all rooms are: a mask takes the place of a division. */
enum { FIRST_ROOM = 16 };

void fl_lookup_init(fl_lookup *lookup, fl_arena *arena)
{
    *lookup = (fl_lookup){.arena = arena};
}

/* FNV-1a, the variant of 64 bits. */
static uint64_t hash_on(uint64_t hash, const char *text)
{
    for (; *text != '\0'; text++)
        hash = (hash ^ (unsigned char)*text) * UINT64_C(0x100000001b3);
    return hash;
}

/* Compares with prefix + rest without putting them together. */
static bool matches(const char *name, const char *prefix, size_t prefix_length, const char *rest)
{
    return strncmp(name, prefix, prefix_length) == 0 && strcmp(name + prefix_length, rest) == 0;
}

/* The slot that holds the name, or the free one where it would go. */
static struct fl_lookup_slot *find(const fl_lookup *lookup, const char *prefix, const char *name)
{
    const size_t prefix_length = strlen(prefix);
    const uint64_t hash = hash_on(hash_on(UINT64_C(0xcbf29ce484222325), prefix), name);
    size_t at = (size_t)hash & (lookup->room - 1);
    while (lookup->slots[at].name != NULL &&
           !matches(lookup->slots[at].name, prefix, prefix_length, name))
        at = (at + 1) & (lookup->room - 1);
    return &lookup->slots[at];
}

void *fl_lookup_get(const fl_lookup *lookup, const char *prefix, const char *name)
{
    return lookup->count == 0 ? NULL : find(lookup, prefix, name)->thing;
}

/* Doubles the room. The old slots stay in the arena until it is released, which at most doubles
 * what a table takes. */
static bool grow(fl_lookup *lookup)
{
    const fl_lookup old = *lookup;
    const size_t room = old.room == 0 ? FIRST_ROOM : 2 * old.room;
    struct fl_lookup_slot *slots = fl_arena_take(lookup->arena, room, sizeof *slots);
    if (slots == NULL)
        return false;
    lookup->slots = slots;
    lookup->room = room;
    for (size_t i = 0; i < old.room; i++) {
        if (old.slots[i].name != NULL)
            *find(lookup, "", old.slots[i].name) = old.slots[i];
    }
    return true;
}

bool fl_lookup_put(fl_lookup *lookup, const char *name, void *thing)
{
    if (2 * (lookup->count + 1) > lookup->room && !grow(lookup))
        return false;
    struct fl_lookup_slot *slot = find(lookup, "", name);
    lookup->count += slot->name == NULL;
    *slot = (struct fl_lookup_slot){name, thing};
    return true;
}
