/* Laid between a program and the C library (LD_PRELOAD, Linux): lets one operation on a journal's files go wrong.
   FAULT_FROM: the first that does, counted from 1. FAULT_TIMES: how many do; 0 for all from then on.
   FAULT_HOW: kill (the process dies before it), torn (it dies with half of it done), EIO, ENOSPC.
   FAULT_WHAT: which count: w writes, t truncations, s syncs, d deletions and renamings, r reads.
   Each fault is noted on standard error, so that a run without any shows that all were tried. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <limits.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

static int count;

static int ours(int fd) {
    char link[64], path[PATH_MAX];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = readlink(link, path, sizeof path - 1);
    if (length < 0) return 0;
    path[length] = 0;
    return strstr(path, "journal") != NULL;
}

/* Returns 0 where all is well, 1 where the operation fails, 2 where half of it is done first. */
static int fault(char what, int is_ours) {
    const char *from = getenv("FAULT_FROM"), *how = getenv("FAULT_HOW"), *which = getenv("FAULT_WHAT");
    if (!is_ours || !from || !how || !which || !strchr(which, what)) return 0;
    int times = getenv("FAULT_TIMES") ? atoi(getenv("FAULT_TIMES")) : 1;
    count++;
    if (count < atoi(from) || (times && count >= atoi(from) + times)) return 0;
    if (write(2, "FAULT\n", 6) < 0) return 0;
    if (!strcmp(how, "kill")) kill(getpid(), SIGKILL);
    if (!strcmp(how, "torn")) return 2;
    errno = strcmp(how, "EIO") ? ENOSPC : EIO;
    return 1;
}

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

ssize_t write(int fd, const void *data, size_t size) {
    int bad = fd > 2 ? fault('w', ours(fd)) : 0;
    if (bad == 2) { REAL(write)(fd, data, size / 2); kill(getpid(), SIGKILL); }
    return bad ? -1 : REAL(write)(fd, data, size);
}
ssize_t pwrite64(int fd, const void *data, size_t size, off64_t place) {
    int bad = fault('w', ours(fd));
    if (bad == 2) { REAL(pwrite64)(fd, data, size / 2, place); kill(getpid(), SIGKILL); }
    return bad ? -1 : REAL(pwrite64)(fd, data, size, place);
}
ssize_t pwrite(int fd, const void *data, size_t size, off_t place) { return pwrite64(fd, data, size, place); }
ssize_t pread64(int fd, void *data, size_t size, off64_t place) {
    return fault('r', ours(fd)) ? -1 : REAL(pread64)(fd, data, size, place);
}
ssize_t pread(int fd, void *data, size_t size, off_t place) { return pread64(fd, data, size, place); }
int fsync(int fd) { return fault('s', ours(fd)) ? -1 : REAL(fsync)(fd); }
int fdatasync(int fd) { return fault('s', ours(fd)) ? -1 : REAL(fdatasync)(fd); }
int ftruncate64(int fd, off64_t size) { return fault('t', ours(fd)) ? -1 : REAL(ftruncate64)(fd, size); }
int ftruncate(int fd, off_t size) { return fault('t', ours(fd)) ? -1 : REAL(ftruncate)(fd, size); }
int unlink(const char *path) { return fault('d', strstr(path, "journal") != NULL) ? -1 : REAL(unlink)(path); }
int rename(const char *old, const char *new) {
    return fault('d', strstr(new, "journal") != NULL) ? -1 : REAL(rename)(old, new);
}
