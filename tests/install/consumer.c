/* A program outside Fairlead: reads a design and prints its margin at the present values. */
#include <fairlead.h>
#include <stdio.h>
#include <string.h>

static const char text[] =
    "{\"fairlead\": 1, \"band\": [\"26 GHz\", \"30 GHz\"], \"points\": 5,"
    " \"ports\": {\"die\": {\"impedance\": \"50 ohm\"}, \"board\": {\"impedance\": \"50 ohm\"}},"
    " \"require\": [{\"quantity\": \"return loss\", \"at least\": \"3 dB\"}],"
    " \"path\": [{\"name\": \"wire\", \"kind\": \"series inductor\", \"side\": \"package\","
    " \"inductance\": \"0.1 nH\"}]}";

int main(void)
{
    fl_design *design = NULL;
    fl_result *result = NULL;
    fl_error error = {FL_OK, "", ""};
    int met = 0;
    if (fl_design_parse(&design, text, strlen(text), "consumer.json", NULL, &error) == FL_OK &&
        fl_response(&result, design, NULL, &error) == FL_OK) {
        met = fl_result_met(result);
        printf("fairlead %s: margin %.3f dB\n", fl_version(), fl_result_margin_db(result));
    } else {
        fprintf(stderr, "%s: %s\n", error.place, error.message);
    }
    fl_result_free(result);
    fl_design_free(design);
    return met ? 0 : 1;
}
