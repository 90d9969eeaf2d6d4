/* Operations that a sample of a yield takes, counted instruction by instruction.
 *
 *     build/release/tests/bench/count [WIDTH]
 *
 * Whole lots run with the processor's trap flag set, and the handler of each step reads the
 * instruction: additions, multiplications, divisions and square roots of doubles, by the number of
 * lanes that each works on. So the count is that of the program as it was compiled, with draws and
 * statistics. */
#define _GNU_SOURCE 1 /* the names of registers */

#include "bench/rig.h"

#if defined(__x86_64__) && defined(__linux__)
#include <signal.h>
#include <ucontext.h>

enum { LOTS = 1 };

/** Operations on lanes, and the instructions that they took. */
typedef struct tally_of_steps {
    double adds, multiplies, divides, roots;
    double vectors, scalars, steps;
} tally_of_steps;

/** What of an instruction says what it does. */
typedef struct decoded {
    int map;       /* 1: 0F, 2: 0F 38 */
    int prefix;    /* 0: none, 1: 66, 2: F3, 3: F2 */
    int lanes;     /* of a full vector of doubles */
    int wide;      /* the W bit */
    unsigned code; /* 0 when it is of no interest */
} decoded;

/* Prefixes and maps of the processor's manual: plain, VEX of two and three bytes, EVEX. */
static decoded decode(const unsigned char *at)
{
    decoded found = {.lanes = 2};
    while (*at == 0x2e || *at == 0x3e)
        at++;
    if (*at == 0xc5)
        return (decoded){1, at[1] & 3, at[1] & 4 ? 4 : 2, 0, at[2]};
    if (*at == 0xc4)
        return (decoded){at[1] & 31, at[2] & 3, at[2] & 4 ? 4 : 2, at[2] >> 7, at[3]};
    if (*at == 0x62)
        return (decoded){at[1] & 7, at[2] & 3, 2 << ((at[3] >> 5) & 3), at[2] >> 7, at[4]};
    if (*at == 0x66 || *at == 0xf3 || *at == 0xf2)
        found.prefix = *at == 0x66 ? 1 : *at == 0xf3 ? 2 : 3, at++;
    if ((*at & 0xf0) == 0x40)
        at++;
    if (*at != 0x0f)
        return found;
    found.map = 1;
    found.code = at[1];
    return found;
}

static void add_arithmetic(tally_of_steps *tally, unsigned code, double lanes)
{
    if (code == 0x58 || code == 0x5c)
        tally->adds += lanes;
    else if (code == 0x59)
        tally->multiplies += lanes;
    else if (code == 0x5e)
        tally->divides += lanes;
    else if (code == 0x51)
        tally->roots += lanes;
    else
        return;
    if (lanes > 1.0)
        tally->vectors++;
    else
        tally->scalars++;
}

/* 66 is a vector of doubles, F2 a single one; the fused ones have opcodes of their own. */
static void add_step(tally_of_steps *tally, const unsigned char *at)
{
    const decoded found = decode(at);
    tally->steps++;
    if (found.map == 1 && (found.prefix == 1 || found.prefix == 3)) {
        add_arithmetic(tally, found.code, found.prefix == 3 ? 1.0 : found.lanes);
    } else if (found.map == 2 && found.prefix == 1 && found.wide && (found.code & 15) >= 6 &&
               found.code >= 0x96 && found.code <= 0xbf) {
        const double lanes = (found.code & 15) >= 8 && (found.code & 1) ? 1.0 : found.lanes;
        add_arithmetic(tally, 0x58, lanes);
        add_arithmetic(tally, 0x59, lanes);
    }
}

/* Counted by the handler of steps: signals have no argument of ours. */
static tally_of_steps steps;

enum { TRAP_FLAG = 0x100 };

static greg_t *flags_of(void *context)
{
    return &((ucontext_t *)context)->uc_mcontext.gregs[REG_EFL];
}

/* The flags of a signal's context hold again when its handler returns. */
static void begin_steps(int signal, siginfo_t *info, void *context)
{
    (void)signal, (void)info;
    *flags_of(context) |= TRAP_FLAG;
}

static void end_steps(int signal, siginfo_t *info, void *context)
{
    (void)signal, (void)info;
    *flags_of(context) &= ~(greg_t)TRAP_FLAG;
}

/* Stops before each instruction. */
static void take_step(int signal, siginfo_t *info, void *context)
{
    (void)signal, (void)info;
    const greg_t at = ((ucontext_t *)context)->uc_mcontext.gregs[REG_RIP];
    add_step(&steps, (const unsigned char *)at);
}

static void handle(int signal, void (*handler)(int, siginfo_t *, void *))
{
    struct sigaction action = {.sa_flags = SA_SIGINFO};
    action.sa_sigaction = handler;
    sigemptyset(&action.sa_mask);
    sigaction(signal, &action, NULL);
}

static void run_lots(rig *own)
{
    for (uint64_t lot = 0; lot < LOTS; lot++)
        fl_lot_run(&own->lot, &own->block_tally, lot * FL_LANES, FL_LANES, NULL, 0);
}

static void count_width(fl_design *design, int width)
{
    rig own;
    rig_open(&own, design, width);
    fl_tally_clear(&own.block_tally, &own.counting);
    run_lots(&own); /* what is done once, such as the linking of functions, is done */
    fl_tally_clear(&own.block_tally, &own.counting);
    steps = (tally_of_steps){.steps = 0.0};
    raise(SIGUSR1);
    run_lots(&own);
    raise(SIGUSR2);
    const tally_of_steps *t = &steps;
    const double samples = (double)LOTS * FL_LANES;
    printf("width %d adds %.1f multiplies %.1f divides %.1f roots %.1f vectors %.1f scalars %.1f "
           "instructions %.1f\n",
           width, t->adds / samples, t->multiplies / samples, t->divides / samples,
           t->roots / samples, t->vectors / samples, t->scalars / samples, t->steps / samples);
    fflush(stdout);
    rig_close(&own);
}

/* All widths take the same operations; the widest takes the fewest steps. */
int main(int count, char **words)
{
    static const int widths[] = {8, 4, 2};
    int width = count > 1 ? (int)strtol(words[1], NULL, 10) : 0;
    fl_design *design = NULL;
    fl_error error;
    for (size_t i = 0; width == 0; i++)
        width = fl_vector_of(widths[i]) != NULL ? widths[i] : 0;
    if (fl_vector_of(width) == NULL) {
        fprintf(stderr, "count: no vectors of %d here\n", width);
        return 2;
    }
    handle(SIGUSR1, begin_steps);
    handle(SIGUSR2, end_steps);
    handle(SIGTRAP, take_step);
    stop_on(fl_design_read(&design, FL_SOURCE_DIR "/tests/bench/yield.json", NULL, &error), &error);
    count_width(design, width);
    fl_design_free(design);
    return 0;
}
#else
int main(void)
{
    puts("count: only for Linux on x86-64");
    return 0;
}
#endif
