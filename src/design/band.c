/* Bands: two frequencies in order. */
#include "design/reader.h"

fl_status fl_band_read(fl_reader *reader, fl_spot spot, fl_band *band)
{
    fl_band found = {0.0, 0.0};
    const cJSON *low = cJSON_IsArray(spot.node) ? spot.node->child : NULL;
    const cJSON *high = low ? low->next : NULL;
    if (high == NULL || high->next != NULL)
        return fl_spot_fail(reader, spot,
                            "expected two frequencies, such as [\"26.5 GHz\", \"29.5 GHz\"]");
    fl_status status = fl_value_read_ruled(reader, (fl_spot){spot.source, low}, FL_FREQUENCY,
                                           FL_POSITIVE, &found.low);
    if (status == FL_OK)
        status = fl_value_read_ruled(reader, (fl_spot){spot.source, high}, FL_FREQUENCY,
                                     FL_POSITIVE, &found.high);
    /* Also refuses a band of one frequency, which has no width to sweep. */
    if (status == FL_OK && !(found.low < found.high))
        return fl_spot_fail(reader, spot, "the low end of a band must be below its high end");
    if (status == FL_OK)
        *band = found;
    return status;
}
