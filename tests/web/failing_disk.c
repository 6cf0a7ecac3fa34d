/* Stands before the system's own functions and lets one of them fail: the one after `left` others on files below a folder.

   The folder and the errors to give are in the environment; `left` is shared with the test through a file. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/types.h>
#include <unistd.h>

struct shared { long left; char failed[56]; };  /* a negative `left` never comes to 0 */
static struct shared *shared;
static const char *below;
static int error;

__attribute__((constructor)) static void begin(void) {
    const char *place = getenv("FAILING_DISK_SHARED"), *number = getenv("FAILING_DISK_ERROR");
    below = getenv("FAILING_DISK_BELOW");
    if (!place || !number || !below) return;
    error = atoi(number);
    int file = open(place, O_RDWR);
    if (file < 0) return;
    void *found = mmap(NULL, sizeof *shared, PROT_READ | PROT_WRITE, MAP_SHARED, file, 0);
    if (found != MAP_FAILED) shared = found;
}

static int fails(const char *what, const char *path) {
    if (!shared || !path || strncmp(path, below, strlen(below))) return 0;
    if (__atomic_fetch_sub(&shared->left, 1, __ATOMIC_SEQ_CST) != 0) return 0;
    snprintf(shared->failed, sizeof shared->failed, "%s %s", what, strrchr(path, '/'));
    if (!error) _exit(99);  /* as if it were killed at this moment */
    errno = error;
    return 1;
}

static int fails_of(const char *what, int file) {
    char link[40], path[4096];
    if (!shared) return 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", file);
    ssize_t length = readlink(link, path, sizeof path - 1);
    if (length < 0) return 0;
    path[length] = 0;
    return fails(what, path);
}

#define HONEST(name) ((__typeof__(&name)) dlsym(RTLD_NEXT, #name))
#define BY_FILE(type, name, parameters, file, words) \
    type name parameters { return fails_of(#name, file) ? (type) -1 : HONEST(name) words; }
#define OPENING(name) \
    int name(const char *path, int flags, ...) { \
        va_list rest; va_start(rest, flags); \
        mode_t mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(rest, mode_t) : 0; \
        va_end(rest); \
        return fails(#name, path) ? -1 : HONEST(name)(path, flags, mode); \
    }

OPENING(open)
OPENING(open64)
BY_FILE(ssize_t, read, (int file, void *to, size_t size), file, (file, to, size))
BY_FILE(ssize_t, pread64, (int file, void *to, size_t size, off64_t at), file, (file, to, size, at))
BY_FILE(ssize_t, write, (int file, const void *from, size_t size), file, (file, from, size))
BY_FILE(ssize_t, pwrite64, (int file, const void *from, size_t size, off64_t at), file, (file, from, size, at))
BY_FILE(int, fsync, (int file), file, (file))
BY_FILE(int, fdatasync, (int file), file, (file))
BY_FILE(int, ftruncate64, (int file, off64_t size), file, (file, size))

int unlink(const char *path) { return fails("unlink", path) ? -1 : HONEST(unlink)(path); }
int rename(const char *from, const char *to) { return fails("rename", from) ? -1 : HONEST(rename)(from, to); }
