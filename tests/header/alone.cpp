/* The public header before anything else, used from C++17. */
#include "fairlead.h"

int main()
{
    fl_options options;
    fl_error error = {FL_OK, "", ""};
    fl_design *design = nullptr;
    fl_options_init(&options);
    return static_cast<int>(fl_design_read(&design, "", nullptr, &error));
}
