/* What the C library would ask of an operating system, where there is none: a browser has the one
 * locale that is wanted here, and no files. Formatting of numbers asks for both and uses neither.
 * */
#include <locale.h>
#include <stddef.h>
#include <sys/uio.h>
#include <unistd.h>

off_t __lseek(int file, off_t offset, int from);

locale_t newlocale(int categories, const char *name, locale_t base)
{
    (void)categories;
    (void)name;
    (void)base;
    return NULL;
}

locale_t uselocale(locale_t locale)
{
    (void)locale;
    return NULL;
}

void freelocale(locale_t locale)
{
    (void)locale;
}

ssize_t writev(int file, const struct iovec *pieces, int count)
{
    (void)file;
    (void)pieces;
    (void)count;
    return -1;
}

off_t __lseek(int file, off_t offset, int from)
{
    (void)file;
    (void)offset;
    (void)from;
    return -1;
}

int close(int file)
{
    (void)file;
    return -1;
}
