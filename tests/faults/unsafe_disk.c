/* A disk that keeps only what was flushed. A program that is started with this in LD_PRELOAD finds
 * it between itself and the files under $UNSAFE_DISK/data, where UNSAFE_DISK has to be set.
 *
 * Before anything there is changed, what stood before is noted at the end of $UNSAFE_DISK/undo, and
 * every flush is noted there too. Whoever reads the notes from their end to their beginning can put
 * back all that was not flushed, as a power cut would; unsafe_disk.py does. What is unlinked or
 * replaced lives on in $UNSAFE_DISK/unlinked. Files in shared memory, "-shm", are no disk.
 *
 * $UNSAFE_DISK/fault may hold what goes wrong for now: "flush fails", "flush slow",
 * "read fails FROM TO", bytes of a file that ends in ".db", or "dies at call N", of those that
 * change or flush something: the program is killed just before.
 */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>

#define SLOW_SECONDS 2

struct note {
    int64_t kind, inode, old_size, at, length, told;
};

static pthread_mutex_t one_at_a_time = PTHREAD_MUTEX_INITIALIZER;

static void place(char *path, const char *name)
{
    snprintf(path, PATH_MAX, "%s/%s", getenv("UNSAFE_DISK"), name);
}

static int ends_with(const char *path, const char *end)
{
    size_t whole = strlen(path), last = strlen(end);
    return whole >= last && strcmp(path + whole - last, end) == 0;
}

/* Whether a path is that of a file on the unsafe disk. */
static int watched(const char *path)
{
    char data[PATH_MAX];
    place(data, "data/");
    return strncmp(path, data, strlen(data)) == 0 && !ends_with(path, "-shm");
}

static void path_of(int fd, char *path)
{
    char link[64];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = readlink(link, path, PATH_MAX - 1);
    path[length < 0 ? 0 : length] = 0;
}

static int watched_fd(int fd)
{
    char path[PATH_MAX];
    path_of(fd, path);
    return watched(path);
}

static int is_the_folder(int fd)
{
    char path[PATH_MAX], data[PATH_MAX];
    path_of(fd, path);
    place(data, "data");
    return !strcmp(path, data);
}

static void fault(char *words)
{
    char path[PATH_MAX];
    place(path, "fault");
    int fd = syscall(SYS_openat, AT_FDCWD, path, O_RDONLY | O_CLOEXEC, 0);
    ssize_t length = syscall(SYS_read, fd, words, 99);
    words[length < 0 ? 0 : length] = 0;
    syscall(SYS_close, fd);
}

static void write_down(struct note note, const void *told)
{
    static int notes = -1;
    static long calls = 0;
    long last;
    char words[100], path[PATH_MAX];
    fault(words);
    if (sscanf(words, "dies at call %ld", &last) == 1 && ++calls >= last)
        kill(getpid(), SIGKILL);
    if (notes < 0) {
        place(path, "undo");
        int flags = O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC;
        notes = syscall(SYS_openat, AT_FDCWD, path, flags, 0600);
    }
    struct iovec parts[] = {{&note, sizeof note}, {(void *)told, note.told}};
    if (syscall(SYS_writev, notes, parts, 2) != (ssize_t)(sizeof note + note.told))
        abort(); /* better no answer than a wrong one */
}

/* Note what stands where something is about to be written, or cut off where `length` is 0. */
static void note_bytes(int fd, off_t at, size_t length)
{
    struct stat now;
    fstat(fd, &now);
    int64_t there = now.st_size > at ? now.st_size - at : 0;
    if (length && there > (int64_t)length)
        there = length;
    char *old = malloc(there + 1);
    if (!old || syscall(SYS_pread64, fd, old, there, at) != there)
        abort();
    write_down((struct note){length ? 'w' : 't', now.st_ino, now.st_size, at, length, there}, old);
    free(old);
}

static void note_name(int kind, const char *path, int64_t kept)
{
    write_down((struct note){kind, kept, 0, 0, 0, strlen(path)}, path);
}

/* Let a file that is about to lose its name live on, and return its inode; 0 if there is none. */
static int64_t live_on(const char *path)
{
    struct stat it;
    char folder[PATH_MAX], kept[PATH_MAX + 32];
    if (stat(path, &it))
        return 0;
    place(folder, "unlinked");
    snprintf(kept, sizeof kept, "%s/%lld", folder, (long long)it.st_ino);
    if (link(path, kept) && errno != EEXIST)
        abort();
    return it.st_ino;
}

static int read_fails(int fd, off_t at, size_t length)
{
    char words[100], path[PATH_MAX];
    long long from, to;
    fault(words);
    if (sscanf(words, "read fails %lld %lld", &from, &to) != 2)
        return 0;
    path_of(fd, path);
    return ends_with(path, ".db") && watched(path) && at < to && at + (off_t)length > from;
}

static int opened(const char *path, int flags, mode_t mode)
{
    if (!(flags & O_CREAT) || !watched(path))
        return syscall(SYS_openat, AT_FDCWD, path, flags, mode);
    pthread_mutex_lock(&one_at_a_time);
    if (syscall(SYS_faccessat, AT_FDCWD, path, F_OK))
        note_name('c', path, 0);
    int fd = syscall(SYS_openat, AT_FDCWD, path, flags, mode);
    pthread_mutex_unlock(&one_at_a_time);
    return fd;
}

#define MODE                              \
    mode_t mode = 0;                      \
    va_list more;                         \
    va_start(more, flags);                \
    if (flags & (O_CREAT | O_TMPFILE))    \
        mode = va_arg(more, mode_t);      \
    va_end(more);

int open(const char *path, int flags, ...)
{
    MODE
    return opened(path, flags, mode);
}

int open64(const char *path, int flags, ...)
{
    MODE
    return opened(path, flags | O_LARGEFILE, mode);
}

ssize_t pwrite64(int fd, const void *bytes, size_t length, off64_t at)
{
    if (!length || !watched_fd(fd))
        return syscall(SYS_pwrite64, fd, bytes, length, at);
    pthread_mutex_lock(&one_at_a_time);
    note_bytes(fd, at, length);
    ssize_t written = syscall(SYS_pwrite64, fd, bytes, length, at);
    pthread_mutex_unlock(&one_at_a_time);
    return written;
}

ssize_t pwrite(int fd, const void *bytes, size_t length, off_t at)
{
    return pwrite64(fd, bytes, length, at);
}

ssize_t write(int fd, const void *bytes, size_t length)
{
    if (!length || !watched_fd(fd))
        return syscall(SYS_write, fd, bytes, length);
    pthread_mutex_lock(&one_at_a_time);
    int appends = fcntl(fd, F_GETFL) & O_APPEND;
    note_bytes(fd, lseek(fd, 0, appends ? SEEK_END : SEEK_CUR), length);
    ssize_t written = syscall(SYS_write, fd, bytes, length);
    pthread_mutex_unlock(&one_at_a_time);
    return written;
}

int ftruncate64(int fd, off64_t size)
{
    if (!watched_fd(fd))
        return syscall(SYS_ftruncate, fd, size);
    pthread_mutex_lock(&one_at_a_time);
    note_bytes(fd, size, 0);
    int done = syscall(SYS_ftruncate, fd, size);
    pthread_mutex_unlock(&one_at_a_time);
    return done;
}

int ftruncate(int fd, off_t size)
{
    return ftruncate64(fd, size);
}

ssize_t pread64(int fd, void *bytes, size_t length, off64_t at)
{
    int fails = read_fails(fd, at, length);
    return fails ? (errno = EIO, -1) : syscall(SYS_pread64, fd, bytes, length, at);
}

ssize_t pread(int fd, void *bytes, size_t length, off_t at)
{
    return pread64(fd, bytes, length, at);
}

ssize_t read(int fd, void *bytes, size_t length)
{
    int fails = read_fails(fd, lseek(fd, 0, SEEK_CUR), length);
    return fails ? (errno = EIO, -1) : syscall(SYS_read, fd, bytes, length);
}

/* The flush itself is only noted: what the kernel holds outlives the program. */
static int flushed(int fd, int call)
{
    int folder = is_the_folder(fd);
    if (!folder && !watched_fd(fd))
        return syscall(call, fd);
    char words[100];
    fault(words);
    if (strncmp(words, "flush fails", 11) == 0)
        return errno = EIO, -1;
    if (strncmp(words, "flush slow", 10) == 0)
        sleep(SLOW_SECONDS);
    struct stat it;
    fstat(fd, &it);
    pthread_mutex_lock(&one_at_a_time);
    write_down((struct note){folder ? 'd' : 'f', it.st_ino, 0, 0, 0, 0}, "");
    pthread_mutex_unlock(&one_at_a_time);
    return 0;
}

int fsync(int fd)
{
    return flushed(fd, SYS_fsync);
}

int fdatasync(int fd)
{
    return flushed(fd, SYS_fdatasync);
}

int unlink(const char *path)
{
    if (!watched(path))
        return syscall(SYS_unlinkat, AT_FDCWD, path, 0);
    pthread_mutex_lock(&one_at_a_time);
    int64_t kept = live_on(path);
    if (kept)
        note_name('u', path, kept);
    int done = syscall(SYS_unlinkat, AT_FDCWD, path, 0);
    pthread_mutex_unlock(&one_at_a_time);
    return done;
}

int rename(const char *from, const char *to)
{
    char both[2 * PATH_MAX];
    if (!watched(to))
        return syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0);
    pthread_mutex_lock(&one_at_a_time);
    snprintf(both, sizeof both, "%s\n%s", from, to);
    note_name('r', both, live_on(to));
    int done = syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0);
    pthread_mutex_unlock(&one_at_a_time);
    return done;
}
