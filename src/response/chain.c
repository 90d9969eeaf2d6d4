/* Chain matrices of elements, and their products. */
#include "response/chain.h"

static fl_complex dot(fl_complex a, fl_complex b, fl_complex c, fl_complex d)
{
    return fl_add(fl_multiply(a, b), fl_multiply(c, d));
}

fl_chain fl_chain_after(fl_chain first, fl_chain m)
{
    return (fl_chain){dot(m.a, first.a, m.b, first.c), dot(m.a, first.b, m.b, first.d),
                      dot(m.c, first.a, m.d, first.c), dot(m.c, first.b, m.d, first.d)};
}

/* All but data are the same from both sides. */
fl_chain fl_chain_of(fl_action action, const fl_twoport *twoport, int driven, size_t i)
{
    const fl_complex one = {1.0, 0.0}, none = {0.0, 0.0}, x = fl_lane(&twoport->x, i);
    switch (action) {
    case FL_ACT_SERIES:
        return (fl_chain){one, x, none, one};
    case FL_ACT_SHUNT:
        return (fl_chain){one, none, x, one};
    case FL_ACT_LINE: {
        const fl_complex s = fl_lane(&twoport->y, i);
        return (fl_chain){x, fl_scale(s, twoport->z.re[i]), fl_scale(s, twoport->z.im[i]), x};
    }
    case FL_ACT_DATA:
        break;
    }
    const fl_chain m = fl_chain_load(twoport, i);
    return driven == FL_PORT_DIE ? m : fl_chain_divided(fl_chain_turned(m), fl_chain_det(m));
}
