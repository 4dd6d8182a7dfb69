// Stands before the system's randomness in a test that is to be replayed: whatever asks for it, age's keys and nonces among
// it, gets a sequence that a number and the thread's name decide. Never part of the program; what is sealed under it is no
// secret at all.
//
//   cc -shared -fPIC -o luck.so tests/luck/luck.c -ldl -lpthread
//   LD_PRELOAD=$PWD/luck.so WITNESSMARK_LUCK=2 WITNESSMARK_SEED=277 target/debug/deps/drop-… three_devices --nocapture
//
// Linux only. The sequence is SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014; constants from memory).

#define _GNU_SOURCE
#include <dlfcn.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/syscall.h>
#include <sys/types.h>

static __thread uint64_t state;
static __thread int begun;

static uint64_t next(void) {
    if (!begun) {
        // A schedule runs in a thread of its seed's name, so each begins by itself.
        char name[16] = "";
        const char *luck = getenv("WITNESSMARK_LUCK");
        begun = 1;
        pthread_getname_np(pthread_self(), name, sizeof name);
        state = luck ? strtoull(luck, NULL, 10) : 0;
        for (const char *letter = name; *letter; letter++) {
            state = state * 0x100000001b3ULL + (unsigned char)*letter;
        }
    }
    uint64_t z = (state += 0x9e3779b97f4a7c15ULL);
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
}

ssize_t getrandom(void *into, size_t count, unsigned flags) {
    unsigned char *bytes = into;
    (void)flags;
    for (size_t at = 0; at < count; at++) {
        bytes[at] = (unsigned char)(next() >> 56);
    }
    return (ssize_t)count;
}

// Some ask the kernel without the function.
long syscall(long number, ...) {
    static long (*real)(long, ...);
    long of[6];
    va_list rest;
    va_start(rest, number);
    for (int at = 0; at < 6; at++) {
        of[at] = va_arg(rest, long);
    }
    va_end(rest);
    if (number == SYS_getrandom) {
        return getrandom((void *)of[0], (size_t)of[1], (unsigned)of[2]);
    }
    if (!real) {
        real = (long (*)(long, ...))dlsym(RTLD_NEXT, "syscall");
    }
    return real(number, of[0], of[1], of[2], of[3], of[4], of[5]);
}
