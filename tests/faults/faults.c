// Stands before the system's file calls in a test of faults: the N-th call of some kinds under one folder fails, once or from
// then on, and every call that changes a file there can be written down for a replay of what a power cut leaves. Never part
// of the program.
//
//   cc -shared -fPIC -O1 -o faults.so tests/faults/faults.c -ldl -lpthread
//   LD_PRELOAD=$PWD/faults.so FAULT_UNDER=/folder FAULT_KINDS=ws FAULT_AT=17 FAULT_ERRNO=5 FAULT_FOR=once …
//
// FAULT_KINDS: letters of the calls that count and fail: w write, s sync, r rename, t truncate, c creating a file or a folder.
// FAULT_AT: the number of the call that fails, from 1; 0 counts only. FAULT_FOR: `once`, or `good` for all after it too.
// FAULT_ERRNO: the number that is answered. FAULT_COUNT: a file that is given the number of calls at the end.
// FAULT_TRACE: a file that is given one record for each call that changed something, in the order in which they returned:
// a letter, two numbers and two texts (see `told`). What is written to standard output is told too, as acknowledgements are.
//
// Linux only; glibc's own names of the calls.

#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <sys/uio.h>
#include <unistd.h>

static pthread_mutex_t lock = PTHREAD_RECURSIVE_MUTEX_INITIALIZER_NP;
static long calls;
static int trace = -1;
static int begun;
static char under[PATH_MAX];
static const char *kinds = "";
static long at;
static int good;
static int number = EIO;

#define REAL(name) ((__typeof__(&name))real(#name))

static void *real(const char *name) {
    return dlsym(RTLD_NEXT, name);
}

static void begin(void) {
    if (begun) {
        return;
    }
    begun = 1;
    const char *text = getenv("FAULT_UNDER");
    snprintf(under, sizeof under, "%s", text ? text : "");
    kinds = getenv("FAULT_KINDS") ? getenv("FAULT_KINDS") : "";
    at = getenv("FAULT_AT") ? atol(getenv("FAULT_AT")) : 0;
    good = getenv("FAULT_FOR") && strcmp(getenv("FAULT_FOR"), "good") == 0;
    number = getenv("FAULT_ERRNO") ? atoi(getenv("FAULT_ERRNO")) : EIO;
    if (getenv("FAULT_TRACE")) {
        trace = REAL(open)(getenv("FAULT_TRACE"), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
    }
}

static int inside(const char *path) {
    begin();
    size_t length = strlen(under);
    return length > 0 && strncmp(path, under, length) == 0;
}

static int path_of(int fd, char *path) {
    char link[64];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = readlink(link, path, PATH_MAX - 1);
    if (length < 0) {
        return 0;
    }
    path[length] = 0;
    return inside(path);
}

static void absolute(int dir, const char *path, char *into) {
    if (path[0] == '/') {
        snprintf(into, PATH_MAX, "%s", path);
        return;
    }
    char base[PATH_MAX] = "";
    if (dir == AT_FDCWD) {
        if (!getcwd(base, sizeof base)) {
            base[0] = 0;
        }
    } else {
        path_of(dir, base);
    }
    size_t length = strlen(base);
    snprintf(into, PATH_MAX, "%s", base);
    snprintf(into + length, PATH_MAX - length, "/%s", path);
}

// Whether this call is the one that fails.
static int fails(char kind) {
    begin();
    if (!strchr(kinds, kind)) {
        return 0;
    }
    pthread_mutex_lock(&lock);
    calls++;
    int now = at > 0 && (calls == at || (good && calls > at));
    pthread_mutex_unlock(&lock);
    if (now) {
        errno = number;
    }
    return now;
}

static void put(const void *bytes, size_t count) {
    const char *from = bytes;
    while (count > 0) {
        ssize_t done = REAL(write)(trace, from, count);
        if (done <= 0) {
            return;
        }
        from += done;
        count -= (size_t)done;
    }
}

// One record: a letter, a place, the length of a path, the length of the bytes, the path, the bytes.
static void told(char letter, uint64_t place, const char *path, const void *bytes, uint64_t count) {
    begin();
    if (trace < 0) {
        return;
    }
    int was = errno;
    uint32_t length = (uint32_t)strlen(path);
    pthread_mutex_lock(&lock);
    put(&letter, 1);
    put(&place, sizeof place);
    put(&length, sizeof length);
    put(&count, sizeof count);
    put(path, length);
    put(bytes, count);
    pthread_mutex_unlock(&lock);
    errno = was;
}

__attribute__((destructor)) static void end(void) {
    const char *path = getenv("FAULT_COUNT");
    if (path) {
        FILE *file = fopen(path, "w");
        if (file) {
            fprintf(file, "%ld", calls);
            fclose(file);
        }
    }
}

ssize_t write(int fd, const void *bytes, size_t count) {
    char path[PATH_MAX];
    if (fd == trace && trace >= 0) {
        return REAL(write)(fd, bytes, count);
    }
    if (fd == STDOUT_FILENO) {
        ssize_t done = REAL(write)(fd, bytes, count);
        if (done > 0) {
            told('A', 0, "", bytes, (uint64_t)done);
        }
        return done;
    }
    if (!path_of(fd, path)) {
        return REAL(write)(fd, bytes, count);
    }
    if (fails('w')) {
        return -1;
    }
    off_t place = lseek(fd, 0, SEEK_CUR);
    ssize_t done = REAL(write)(fd, bytes, count);
    if (done > 0) {
        told('W', (uint64_t)place, path, bytes, (uint64_t)done);
    }
    return done;
}

static ssize_t written_at(ssize_t (*call)(int, const void *, size_t, off_t), int fd, const void *bytes, size_t count, off_t place) {
    char path[PATH_MAX];
    if (!path_of(fd, path)) {
        return call(fd, bytes, count, place);
    }
    if (fails('w')) {
        return -1;
    }
    ssize_t done = call(fd, bytes, count, place);
    if (done > 0) {
        told('W', (uint64_t)place, path, bytes, (uint64_t)done);
    }
    return done;
}

ssize_t pwrite(int fd, const void *bytes, size_t count, off_t place) {
    return written_at((ssize_t(*)(int, const void *, size_t, off_t))real("pwrite"), fd, bytes, count, place);
}

ssize_t pwrite64(int fd, const void *bytes, size_t count, off_t place) {
    return written_at((ssize_t(*)(int, const void *, size_t, off_t))real("pwrite64"), fd, bytes, count, place);
}

ssize_t writev(int fd, const struct iovec *all, int count) {
    char path[PATH_MAX];
    if (!path_of(fd, path)) {
        return REAL(writev)(fd, all, count);
    }
    ssize_t sum = 0;
    for (int one = 0; one < count; one++) {
        ssize_t done = write(fd, all[one].iov_base, all[one].iov_len);
        if (done < 0) {
            return sum > 0 ? sum : -1;
        }
        sum += done;
        if ((size_t)done < all[one].iov_len) {
            break;
        }
    }
    return sum;
}

// What would pass a file's bytes by the calls above: refused, as some systems do, so that they are written.
ssize_t copy_file_range(int from, off64_t *in, int into, off64_t *out, size_t count, unsigned flags) {
    (void)from, (void)in, (void)into, (void)out, (void)count, (void)flags;
    errno = ENOSYS;
    return -1;
}

static int synced(int (*call)(int), int fd) {
    char path[PATH_MAX];
    if (!path_of(fd, path)) {
        return call(fd);
    }
    if (fails('s')) {
        return -1;
    }
    int done = call(fd);
    if (done == 0) {
        told('S', 0, path, "", 0);
    }
    return done;
}

int fsync(int fd) {
    return synced((int (*)(int))real("fsync"), fd);
}

int fdatasync(int fd) {
    return synced((int (*)(int))real("fdatasync"), fd);
}

static int cut(int (*call)(int, off_t), int fd, off_t length) {
    char path[PATH_MAX];
    if (!path_of(fd, path)) {
        return call(fd, length);
    }
    if (fails('t')) {
        return -1;
    }
    int done = call(fd, length);
    if (done == 0) {
        told('T', (uint64_t)length, path, "", 0);
    }
    return done;
}

int ftruncate(int fd, off_t length) {
    return cut((int (*)(int, off_t))real("ftruncate"), fd, length);
}

int ftruncate64(int fd, off_t length) {
    return cut((int (*)(int, off_t))real("ftruncate64"), fd, length);
}

int posix_fallocate(int fd, off_t place, off_t length) {
    char path[PATH_MAX];
    if (path_of(fd, path) && fails('w')) {
        return number;
    }
    return REAL(posix_fallocate)(fd, place, length);
}

int rename(const char *from, const char *to) {
    char one[PATH_MAX], two[PATH_MAX];
    absolute(AT_FDCWD, from, one);
    absolute(AT_FDCWD, to, two);
    if (!inside(two)) {
        return REAL(rename)(from, to);
    }
    if (fails('r')) {
        return -1;
    }
    int done = REAL(rename)(from, to);
    if (done == 0) {
        told('R', 0, one, two, strlen(two));
    }
    return done;
}

static int gone(int (*call)(const char *), const char *path) {
    char whole[PATH_MAX];
    absolute(AT_FDCWD, path, whole);
    int done = call(path);
    if (done == 0 && inside(whole)) {
        told('U', 0, whole, "", 0);
    }
    return done;
}

int unlink(const char *path) {
    return gone((int (*)(const char *))real("unlink"), path);
}

int mkdir(const char *path, mode_t mode) {
    char whole[PATH_MAX];
    absolute(AT_FDCWD, path, whole);
    if (inside(whole) && access(path, F_OK) != 0 && fails('c')) {
        return -1;
    }
    int done = REAL(mkdir)(path, mode);
    if (done == 0 && inside(whole)) {
        told('D', 0, whole, "", 0);
    }
    return done;
}

static int opened(const char *name, int dir, const char *path, int flags, mode_t mode) {
    char whole[PATH_MAX];
    int (*call)(int, const char *, int, ...) = (int (*)(int, const char *, int, ...))real(name);
    absolute(dir, path, whole);
    int within = inside(whole);
    int fresh = within && (flags & O_CREAT) && faccessat(dir, path, F_OK, 0) != 0;
    if (fresh && fails('c')) {
        return -1;
    }
    int fd = call(dir, path, flags, mode);
    if (fd >= 0 && fresh) {
        told('C', 0, whole, "", 0);
    } else if (fd >= 0 && within && (flags & O_TRUNC)) {
        told('T', 0, whole, "", 0);
    }
    return fd;
}

#define MODE(flags) \
    mode_t mode = 0; \
    if ((flags) & (O_CREAT | O_TMPFILE)) { \
        va_list more; \
        va_start(more, flags); \
        mode = (mode_t)va_arg(more, int); \
        va_end(more); \
    }

int open(const char *path, int flags, ...) {
    MODE(flags)
    return opened("openat", AT_FDCWD, path, flags, mode);
}

int open64(const char *path, int flags, ...) {
    MODE(flags)
    return opened("openat64", AT_FDCWD, path, flags, mode);
}

int openat(int dir, const char *path, int flags, ...) {
    MODE(flags)
    return opened("openat", dir, path, flags, mode);
}

int openat64(int dir, const char *path, int flags, ...) {
    MODE(flags)
    return opened("openat64", dir, path, flags, mode);
}
