/** Arithmetic on rows of parameters, for kinds that evaluate many samples at once. Private to
 * models/. Results are rows of FL_LANES; they may not be among what they are made of. */
#ifndef FL_MODELS_ROWS_H
#define FL_MODELS_ROWS_H

#include "models/models.h"

/** to = from */
void fl_row_copy(double *to, const fl_row *from);

/** to = times a b, where what is the same in all lanes is multiplied first. */
void fl_row_product(double *to, const fl_row *a, const fl_row *b, double times);

/** Square roots and inverses; of what is the same, one. In room [FL_LANES] if need be. */
fl_row fl_row_root(double *room, const fl_row *from);
fl_row fl_row_inverse(double *room, const fl_row *from);

/** to = times from / by in lanes where by is positive; the others stay. */
void fl_row_divide(double *to, const fl_row *from, const fl_row *by, double times);

/** Marks lanes that are over the limit. */
void fl_row_mark_over(bool *marks, const double *row, double limit);

#endif
