/*
 * Files that are replaced: what is kept, what is refused, and that nothing is left lying about.
 */
#define _XOPEN_SOURCE 700
#include "gitlock.h"
#include "native.h"
#include "store.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

static struct arena arena;
static char folder[64];

static int start(void **state)
{
    (void)state;
    arena_init(&arena, NULL, NULL);
    strcpy(folder, "/tmp/gyle-store-XXXXXX");
    return mkdtemp(folder) == NULL || chdir(folder) != 0;
}

static int finish(void **state)
{
    char command[256];
    (void)state;
    arena_free(&arena);
    snprintf(command, sizeof command, "chmod -R u+w %s; rm -rf %s", folder, folder);
    return system(command);
}

static void put(const char *path, const char *text)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs(text, file);
    assert_int_equal(fclose(file), 0);
}

static void holds(const char *path, const char *text)
{
    char bytes[256] = "";
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    size_t n = fread(bytes, 1, sizeof bytes - 1, file);
    fclose(file);
    assert_int_equal(n, strlen(text));
    assert_string_equal(bytes, text);
}

static size_t count_files(const char *path)
{
    size_t n = 0;
    DIR *dir = opendir(path);
    assert_non_null(dir);
    for (struct dirent *entry; (entry = readdir(dir)) != NULL;)
        n += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0;
    closedir(dir);
    return n;
}

static enum store_status replace(const char *path, const char *text, const char **why)
{
    struct store_file file;
    if (!store_read(&file, &arena, path, why))
        return STORE_FAILED;
    enum store_status status = store_write(&file, &arena, str_of(text), why);
    if (status == STORE_DONE)
        assert_true(store_sync(&file, &arena, why));
    return status;
}

static void keeps_the_mode(void **state)
{
    static const mode_t MODES[] = {0640, 0600, 0664, 0755, 02644};
    const char *why;
    (void)state;
    for (size_t i = 0; i < sizeof MODES / sizeof MODES[0]; i++) {
        struct stat info;
        put("a.yaml", "old\n");
        assert_int_equal(chmod("a.yaml", MODES[i]), 0);
        assert_int_equal(replace("a.yaml", "new\n", &why), STORE_DONE);
        holds("a.yaml", "new\n");
        assert_int_equal(stat("a.yaml", &info), 0);
        assert_int_equal(info.st_mode & 07777, MODES[i]);
    }
    assert_int_equal(count_files("."), 1);
}

static void keeps_a_link(void **state)
{
    struct stat info;
    const char *why;
    (void)state;
    assert_int_equal(mkdir("real", 0755), 0);
    put("real/a.yaml", "old\n");
    assert_int_equal(symlink("real/a.yaml", "link.yaml"), 0);
    assert_int_equal(symlink("link.yaml", "again.yaml"), 0);
    assert_int_equal(replace("again.yaml", "new\n", &why), STORE_DONE);
    assert_int_equal(lstat("again.yaml", &info), 0);
    assert_true(S_ISLNK(info.st_mode));
    assert_int_equal(lstat("link.yaml", &info), 0);
    assert_true(S_ISLNK(info.st_mode));
    holds("real/a.yaml", "new\n");
    assert_int_equal(count_files("real"), 1);
    assert_int_equal(count_files("."), 3);
}

static void creates_a_file_and_its_folder(void **state)
{
    struct stat info;
    const char *why;
    (void)state;
    mode_t mask = umask(027);
    assert_int_equal(replace("plant/2026-11.yaml", "new\n", &why), STORE_DONE);
    umask(mask);
    holds("plant/2026-11.yaml", "new\n");
    assert_int_equal(stat("plant/2026-11.yaml", &info), 0);
    assert_int_equal(info.st_mode & 07777, 0640);
    assert_int_equal(count_files("plant"), 1);
}

static void a_long_name(void **state)
{
    char name[256];
    const char *why;
    (void)state;
    memset(name, 'n', sizeof name - 1);
    strcpy(name + sizeof name - 6, ".yaml");
    put(name, "old\n");
    assert_int_equal(replace(name, "new\n", &why), STORE_DONE);
    holds(name, "new\n");
}

/* What another program may do between the reading and the writing. */
static void sees_a_change(void **state)
{
    static const char *const CHANGES[] = {
        "printf 'old\\nmore\\n' >a.yaml",    /* longer */
        "printf 'abc\\n' >a.yaml",           /* the same length */
        "printf 'old\\n' >b && mv b a.yaml", /* the same bytes in another file */
        "rm a.yaml",                         /* gone */
        "rm a.yaml && mkdir a.yaml",         /* a folder now */
    };
    (void)state;
    for (size_t i = 0; i < sizeof CHANGES / sizeof CHANGES[0]; i++) {
        struct store_file file;
        const char *why = NULL;
        put("a.yaml", "old\n");
        assert_true(store_read(&file, &arena, "a.yaml", &why));
        assert_int_equal(system(CHANGES[i]), 0);
        if (store_write(&file, &arena, STR("new\n"), &why) == STORE_DONE)
            fail_msg("not seen: %s", CHANGES[i]);
        assert_non_null(why);
        assert_true(count_files(".") <= 1);
        assert_int_equal(system("rm -rf a.yaml"), 0);
    }
}

/* The clock of the file system may be coarse: bytes of the same length at the same time. */
static void sees_a_change_that_keeps_its_time(void **state)
{
    struct store_file file;
    const char *why;
    (void)state;
    put("a.yaml", "old\n");
    assert_true(store_read(&file, &arena, "a.yaml", &why));
    put("a.yaml", "abc\n");
    struct timespec times[2] = {file.info.st_atim, file.info.st_mtim};
    assert_int_equal(utimensat(AT_FDCWD, "a.yaml", times, 0), 0);
    assert_int_equal(store_write(&file, &arena, STR("new\n"), &why), STORE_CHANGED);
    holds("a.yaml", "abc\n");
    assert_int_equal(count_files("."), 1);
}

static void a_file_that_came_to_be(void **state)
{
    struct store_file file;
    const char *why;
    (void)state;
    assert_true(store_read(&file, &arena, "a.yaml", &why));
    assert_false(file.exists);
    put("a.yaml", "theirs\n");
    assert_int_equal(store_write(&file, &arena, STR("ours\n"), &why), STORE_CHANGED);
    holds("a.yaml", "theirs\n");
    assert_int_equal(count_files("."), 1);
}

/* Many at once: each is whole, whatever becomes of the others, and each folder is synced once. */
static void many_at_once(void **state)
{
    enum { MANY = 200 };
    static struct store_file files[MANY];
    static struct store_change changes[MANY];
    const char *why = NULL;
    (void)state;
    for (size_t i = 0; i < MANY; i++) {
        char *name = arena_copy(&arena, "f000.yaml", sizeof "f000.yaml");
        snprintf(name, sizeof "f000.yaml", "f%03zu.yaml", i);
        put(name, "old\n");
        assert_true(store_read(&files[i], &arena, name, &why));
        changes[i] = (struct store_change){.file = &files[i], .bytes = STR("new\n")};
    }
    put("f003.yaml", "theirs\n");
    assert_int_equal(system("rm f120.yaml && mkdir f120.yaml"), 0);
    store_write_all(&arena, changes, MANY);
    for (size_t i = 0; i < MANY; i++) {
        bool odd = i == 3 || i == 120;
        assert_int_equal(changes[i].status, odd ? STORE_CHANGED : STORE_DONE);
        assert_true(odd == (changes[i].why != NULL));
        if (i != 120)
            holds(files[i].path, odd ? "theirs\n" : "new\n");
        if (!odd)
            assert_true(store_stands(&changes[i]));
    }
    assert_int_equal(count_files("."), MANY);
    put("f000.yaml", "edited\n");
    assert_false(store_stands(&changes[0]));
}

/* What another program has open to write may change after it was looked at. */
static void sees_that_it_is_being_written(void **state)
{
    struct store_file file;
    const char *why = NULL;
    (void)state;
    put("a.yaml", "old\n");
    int fd = open("a.yaml", O_WRONLY | O_APPEND), reader = open("a.yaml", O_RDONLY);
    assert_true(fd >= 0 && reader >= 0);
    bool told = native_is_being_written(reader);
    close(reader);
    assert_true(store_read(&file, &arena, "a.yaml", &why));
    if (told) {
        assert_int_equal(store_write(&file, &arena, STR("new\n"), &why), STORE_CHANGED);
        assert_int_equal(write(fd, "more\n", 5), 5);
        holds("a.yaml", "old\nmore\n");
    } else {
        printf("note: store: this system does not tell who writes a file: not tried\n");
    }
    close(fd);
    assert_int_equal(count_files("."), 1);
}

static void exchanges_names(void **state)
{
    (void)state;
    put("a", "a\n");
    put("b", "b\n");
    if (native_exchange("a", "b")) {
        holds("a", "b\n");
        holds("b", "a\n");
        assert_false(native_exchange("a", "none"));
        assert_int_equal(errno, ENOENT);
    } else {
        assert_int_equal(errno, ENOSYS);
        printf("note: store: this system does not exchange names: not tried\n");
    }
}

/* Git's lock is found from any folder of the work tree, and from a linked one. */
static void finds_the_lock_of_git(void **state)
{
    static const char *const FOLDERS[] = {"", "book/batches", "linked/book"};
    (void)state;
    assert_int_equal(system("mkdir -p .git/worktrees/linked book/batches linked/book && "
                            "echo \"gitdir: $PWD/.git/worktrees/linked\" >linked/.git"),
                     0);
    for (size_t i = 0; i < sizeof FOLDERS / sizeof FOLDERS[0]; i++) {
        struct gitlock git;
        gitlock_find(&git, &arena, FOLDERS[i]);
        assert_non_null(git.lock);
        assert_true(gitlock_wait(&git, 0));
        gitlock_note(&git);
        assert_false(gitlock_has_changed(&git));
        put(git.lock, "");
        assert_false(gitlock_wait(&git, 0));
        assert_int_equal(rename(git.lock, git.index), 0);
        assert_true(gitlock_wait(&git, 0));
        assert_true(gitlock_has_changed(&git));
        assert_int_equal(unlink(git.index), 0);
    }
}

static void refuses_what_is_no_file(void **state)
{
    const char *why = NULL;
    (void)state;
    assert_int_equal(mkdir("a.yaml", 0755), 0);
    assert_int_equal(replace("a.yaml", "new\n", &why), STORE_FAILED);
    assert_non_null(strstr(why, "directory"));
    assert_int_equal(symlink("loop", "loop"), 0);
    assert_int_equal(replace("loop", "new\n", &why), STORE_FAILED);
    assert_int_equal(replace("/dev/null", "new\n", &why), STORE_FAILED);
}

static void refuses_what_may_not_be_written(void **state)
{
    const char *why = NULL;
    (void)state;
    if (geteuid() == 0) {
        printf("note: store: run as root, who may write everything: not tried\n");
        return;
    }
    put("a.yaml", "old\n");
    assert_int_equal(chmod("a.yaml", 0444), 0);
    assert_int_equal(replace("a.yaml", "new\n", &why), STORE_FAILED);
    assert_non_null(strstr(why, "may not write"));
    holds("a.yaml", "old\n");
    assert_int_equal(mkdir("closed", 0755), 0);
    put("closed/a.yaml", "old\n");
    assert_int_equal(chmod("closed", 0555), 0);
    assert_int_equal(replace("closed/a.yaml", "new\n", &why), STORE_FAILED);
    holds("closed/a.yaml", "old\n");
}

/* The lock is held by one process at a time, and ends with it however it ends. */
static void one_holds_the_lock(void **state)
{
    struct store_lock lock;
    const char *why = NULL;
    int told[2], status;
    char byte;
    (void)state;
    assert_int_equal(pipe(told), 0);
    pid_t child = fork();
    if (child == 0) {
        bool held = store_lock(&lock, &arena, "", 0, &why);
        ssize_t ignored = write(told[1], held ? "y" : "n", 1);
        (void)ignored;
        pause();
        _exit(0);
    }
    assert_int_equal(read(told[0], &byte, 1), 1);
    assert_int_equal(byte, 'y');
    assert_false(store_lock(&lock, &arena, ".", 0, &why));
    assert_non_null(strstr(why, "another gyle-ingest"));
    kill(child, SIGKILL);
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(store_lock(&lock, &arena, ".", 5, &why));
    store_unlock(&lock);
    assert_false(store_lock(&lock, &arena, "nowhere", 0, &why));
    close(told[0]);
    close(told[1]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(keeps_the_mode, start, finish),
        cmocka_unit_test_setup_teardown(keeps_a_link, start, finish),
        cmocka_unit_test_setup_teardown(creates_a_file_and_its_folder, start, finish),
        cmocka_unit_test_setup_teardown(a_long_name, start, finish),
        cmocka_unit_test_setup_teardown(sees_a_change, start, finish),
        cmocka_unit_test_setup_teardown(sees_a_change_that_keeps_its_time, start, finish),
        cmocka_unit_test_setup_teardown(a_file_that_came_to_be, start, finish),
        cmocka_unit_test_setup_teardown(many_at_once, start, finish),
        cmocka_unit_test_setup_teardown(sees_that_it_is_being_written, start, finish),
        cmocka_unit_test_setup_teardown(exchanges_names, start, finish),
        cmocka_unit_test_setup_teardown(finds_the_lock_of_git, start, finish),
        cmocka_unit_test_setup_teardown(refuses_what_is_no_file, start, finish),
        cmocka_unit_test_setup_teardown(refuses_what_may_not_be_written, start, finish),
        cmocka_unit_test_setup_teardown(one_holds_the_lock, start, finish),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
