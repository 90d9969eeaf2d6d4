/* The public header before anything else, used from C99. */
#include "fairlead.h"

int main(void)
{
    fl_options options;
    fl_error error = {FL_OK, "", ""};
    fl_design *design = NULL;
    fl_options_init(&options);
    return (int)fl_design_read(&design, "", NULL, &error);
}
