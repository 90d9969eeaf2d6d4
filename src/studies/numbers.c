/* Which random numbers of a sample its draws are made of. */
#include "studies/numbers.h"

#include <math.h>

/* No draw has a number yet, and none is joined. */
static fl_status take(fl_numbers *numbers, fl_arena *arena, const fl_design *design,
                      fl_error *error)
{
    numbers->count = 0;
    numbers->of = fl_arena_take(arena, design->draw_count, sizeof *numbers->of);
    numbers->joined = fl_arena_take(arena, design->draw_count, sizeof *numbers->joined);
    return numbers->of != NULL && numbers->joined != NULL ? FL_OK : fl_fail_memory(error);
}

/* For plans, whose levels are drawn for many samples at once, and for even points. */
fl_status fl_numbers_apart(fl_numbers *numbers, fl_arena *arena, const fl_design *design,
                           fl_error *error)
{
    const fl_status status = take(numbers, arena, design, error);
    for (size_t i = 0; i < design->draw_count && status == FL_OK; i++)
        numbers->of[i] = numbers->count++;
    return status;
}

/* A draw of the quantity alone, and by its sigma alone: not cut. */
static bool may_join(const fl_design *design, const fl_spread *spread, const size_t *users)
{
    return spread->shape == FL_NORMAL && spread->within == 0.0 && users[spread->draw] == 1 &&
           design->draws[spread->draw].group == FL_NONE;
}

/* Marks draws that have a number together, if there are at least two. */
static void join(fl_numbers *numbers, const fl_design *design, const fl_quantity *quantity,
                 const size_t *users)
{
    size_t count = 0;
    for (size_t k = 0; k < quantity->spread_count; k++)
        count += may_join(design, &quantity->spreads[k], users);
    for (size_t k = 0; k < quantity->spread_count && count > 1; k++)
        if (may_join(design, &quantity->spreads[k], users))
            numbers->joined[quantity->spreads[k].draw] = true;
}

/* Those that are not joined first, then one a quantity. */
static void number_all(fl_numbers *numbers, const fl_design *design)
{
    for (size_t i = 0; i < design->draw_count; i++)
        numbers->of[i] = FL_NONE;
    for (size_t i = 0; i < design->draw_count; i++)
        if (!numbers->joined[i])
            numbers->of[i] = numbers->count++;
    for (size_t i = 0; i < design->quantity_count; i++) {
        const fl_quantity *quantity = &design->quantities[i];
        size_t own = FL_NONE;
        for (size_t k = 0; k < quantity->spread_count; k++) {
            const size_t draw = quantity->spreads[k].draw;
            if (!numbers->joined[draw])
                continue;
            own = own == FL_NONE ? numbers->count++ : own;
            numbers->of[draw] = own;
        }
    }
}

/* Entries of one name, each for its own case, share their draws. */
fl_status fl_numbers_joined(fl_numbers *numbers, fl_arena *arena, const fl_design *design,
                            fl_error *error)
{
    const fl_status status = take(numbers, arena, design, error);
    size_t *users = fl_arena_take(arena, design->draw_count, sizeof *users);
    if (status != FL_OK || users == NULL)
        return fl_fail_memory(error);
    for (size_t i = 0; i < design->quantity_count; i++)
        for (size_t k = 0; k < design->quantities[i].spread_count; k++)
            users[design->quantities[i].spreads[k].draw]++;
    for (size_t i = 0; i < design->quantity_count; i++)
        join(numbers, design, &design->quantities[i], users);
    number_all(numbers, design);
    return FL_OK;
}

/* Percent is of the nominal value. */
double fl_spread_amount(const fl_spread *spread, double nominal)
{
    return spread->amount * (spread->relative ? nominal : 1.0);
}

/* By the variance of a sum of independent numbers. */
double fl_numbers_amount(size_t *number, const fl_numbers *numbers, const fl_quantity *quantity,
                         double nominal)
{
    double squares = 0.0;
    *number = FL_NONE;
    for (size_t k = 0; k < quantity->spread_count; k++) {
        const fl_spread *spread = &quantity->spreads[k];
        const double amount = fl_spread_amount(spread, nominal);
        if (!numbers->joined[spread->draw])
            continue;
        *number = numbers->of[spread->draw];
        squares += amount * amount;
    }
    return sqrt(squares);
}
