/* The words for levels, sides and what may be required. */
#include "design/design.h"

const char *fl_level_name(fl_level level)
{
    switch (level) {
    case FL_LEVEL_LOT:
        return "lot";
    case FL_LEVEL_WAFER:
        return "wafer";
    case FL_LEVEL_DIE:
        return "die";
    case FL_LEVEL_ASSEMBLY:
        return "assembly";
    case FL_LEVEL_BOARD:
        return "board";
    /* No default, so that the compiler tells when a level is added. */
    case FL_LEVEL_COUNT:
        break;
    }
    return "";
}

const char *fl_side_name(fl_side side)
{
    /* As the key "side" spells them. */
    static const char *const names[] = {
        [FL_SIDE_DIE] = "die", [FL_SIDE_PACKAGE] = "package", [FL_SIDE_BOARD] = "board"};
    return names[side];
}

const char *fl_asked_name(fl_asked asked)
{
    /* As the key "quantity" of a requirement spells them. */
    static const char *const names[] = {[FL_RETURN_LOSS] = "return loss",
                                        [FL_INSERTION_LOSS] = "insertion loss",
                                        [FL_REJECTION] = "rejection"};
    return names[asked];
}
