/*
 * faults runs a program and makes one of its calls that change files fail.
 *
 *   faults DIR N ACTION PROGRAM [ARGUMENT...]
 *
 * Only calls on files below DIR are counted, from 1 on, over all threads and
 * children. The Nth is met with ACTION:
 *
 *   ENOSPC EIO EROFS   it fails so, and all such calls after it, as on a disk
 *                      that is full, broken, or mounted read-only by the kernel
 *   ENOSPC1 EIO1       it alone fails
 *   short              a write stores half of its bytes
 *   kill               the program is killed before the call is made
 *   none               nothing happens
 *
 * The last line on standard error is "faults: C calls, met CALL", C the number
 * of calls counted and CALL the name of the one that was met, or "nothing".
 * The exit code is the program's, or 137 when it was killed.
 *
 * The calls are caught by seccomp and ptrace (seccomp(2), ptrace(2)), as the
 * program makes some of them without the C library. x86-64 Linux alone.
 */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <signal.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/ptrace.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <sys/user.h>
#include <sys/wait.h>
#include <unistd.h>

enum where { FD, FD3, PATH1, AT2, AT4, PATH2 };

static const struct call {
	int nr;
	const char *name;
	enum where where; /* which argument names the file */
	int write;        /* the argument that is a length, or 0 */
} calls[] = {
	{SYS_write, "write", FD, 3},
	{SYS_pwrite64, "pwrite", FD, 3},
	{SYS_writev, "writev", FD, 0},
	{SYS_copy_file_range, "copy_file_range", FD3, 5},
	{SYS_sendfile, "sendfile", FD, 4},
	{SYS_splice, "splice", FD3, 5},
	{SYS_fsync, "fsync", FD, 0},
	{SYS_fdatasync, "fdatasync", FD, 0},
	{SYS_ftruncate, "ftruncate", FD, 0},
	{SYS_fallocate, "fallocate", FD, 0},
	{SYS_openat, "create", AT2, 0},
	{SYS_open, "create", PATH1, 0},
	{SYS_mkdir, "mkdir", PATH1, 0},
	{SYS_mkdirat, "mkdir", AT2, 0},
	{SYS_rename, "rename", PATH2, 0},
	{SYS_renameat, "rename", AT4, 0},
	{SYS_renameat2, "rename", AT4, 0},
	{SYS_link, "link", PATH2, 0},
	{SYS_linkat, "link", AT4, 0},
	{SYS_unlink, "unlink", PATH1, 0},
	{SYS_unlinkat, "unlink", AT2, 0},
	{SYS_rmdir, "rmdir", PATH1, 0},
};
#define CALLS (sizeof calls / sizeof *calls)

static void die(const char *what)
{
	perror(what);
	exit(125);
}

static void child(char **argv)
{
	struct sock_filter filter[CALLS * 2 + 4];
	int n = 0;
	filter[n++] = (struct sock_filter)BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, nr));
	for (size_t i = 0; i < CALLS; i++) {
		filter[n++] = (struct sock_filter)BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, calls[i].nr, 0, 1);
		filter[n++] = (struct sock_filter)BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_TRACE);
	}
	filter[n++] = (struct sock_filter)BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW);
	struct sock_fprog prog = {n, filter};
	if (ptrace(PTRACE_TRACEME, 0, 0, 0) < 0)
		die("faults: ptrace");
	raise(SIGSTOP);
	if (prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) < 0 || prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &prog) < 0)
		die("faults: seccomp");
	execvp(argv[0], argv);
	die(argv[0]);
}

/* text reads a path out of the program's memory. */
static void text(pid_t pid, unsigned long at, char *out, size_t size)
{
	size_t n = 0;
	while (n + 1 < size) {
		errno = 0;
		long word = ptrace(PTRACE_PEEKDATA, pid, at + n, 0);
		if (errno)
			break;
		for (size_t i = 0; i < sizeof word && n + 1 < size; i++) {
			out[n] = ((char *)&word)[i];
			if (!out[n++])
				return;
		}
	}
	out[n] = 0;
}

static void link_of(pid_t pid, const char *what, int fd, char *out, size_t size)
{
	char name[64];
	if (fd >= 0)
		snprintf(name, sizeof name, "/proc/%d/fd/%d", pid, fd);
	else
		snprintf(name, sizeof name, "/proc/%d/%s", pid, what);
	ssize_t n = readlink(name, out, size - 1);
	out[n < 0 ? 0 : n] = 0;
}

/* file is the path that a call is about. */
static void file(pid_t pid, const struct call *c, unsigned long *arg, char *out, size_t size)
{
	char name[2048], base[2048];
	int at = -1;
	switch (c->where) {
	case FD: link_of(pid, "", (int)arg[0], out, size); return;
	case FD3: link_of(pid, "", (int)arg[2], out, size); return;
	case PATH1: text(pid, arg[0], name, sizeof name); break;
	case PATH2: text(pid, arg[1], name, sizeof name); break;
	case AT2: text(pid, arg[1], name, sizeof name); at = (int)arg[0]; break;
	case AT4: text(pid, arg[3], name, sizeof name); at = (int)arg[2]; break;
	}
	if (name[0] == '/') {
		snprintf(out, size, "%s", name);
		return;
	}
	link_of(pid, "cwd", at, base, sizeof base);
	snprintf(out, size, "%s/%s", base, name);
}

int main(int argc, char **argv)
{
	if (argc < 5) {
		fprintf(stderr, "usage: faults DIR N ACTION PROGRAM [ARGUMENT...]\n");
		return 125;
	}
	const char *dir = argv[1], *action = argv[3], *met = "nothing";
	long target = atol(argv[2]), count = 0;
	int error = 0, once = 0, code = 125;
	if (!strncmp(action, "ENOSPC", 6)) error = ENOSPC;
	if (!strncmp(action, "EIO", 3)) error = EIO;
	if (!strncmp(action, "EROFS", 5)) error = EROFS;
	once = error && action[strlen(action) - 1] == '1';

	pid_t first = fork();
	if (first == 0)
		child(argv + 4);
	int status;
	if (waitpid(first, &status, 0) < 0)
		die("faults: wait");
	if (ptrace(PTRACE_SETOPTIONS, first, 0, PTRACE_O_TRACESECCOMP | PTRACE_O_TRACECLONE | PTRACE_O_TRACEFORK |
		   PTRACE_O_TRACEVFORK | PTRACE_O_TRACEEXEC | PTRACE_O_EXITKILL) < 0)
		die("faults: options");
	ptrace(PTRACE_CONT, first, 0, 0);

	for (;;) {
		pid_t pid = waitpid(-1, &status, __WALL);
		if (pid < 0)
			break;
		if (WIFEXITED(status) || WIFSIGNALED(status)) {
			if (pid == first) {
				code = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
				break;
			}
			continue;
		}
		int sig = WSTOPSIG(status), event = status >> 16;
		if (event != PTRACE_EVENT_SECCOMP) {
			/* New threads stop once; other signals are the program's own. */
			ptrace(PTRACE_CONT, pid, 0, event || sig == SIGSTOP || sig == SIGTRAP ? 0 : sig);
			continue;
		}
		struct user_regs_struct r;
		if (ptrace(PTRACE_GETREGS, pid, 0, &r) < 0)
			continue;
		unsigned long arg[6] = {r.rdi, r.rsi, r.rdx, r.r10, r.r8, r.r9};
		const struct call *c = NULL;
		for (size_t i = 0; i < CALLS; i++)
			if (calls[i].nr == (int)r.orig_rax)
				c = &calls[i];
		char path[4200] = "";
		if (c && !((c->nr == SYS_openat && !(arg[2] & O_CREAT)) || (c->nr == SYS_open && !(arg[1] & O_CREAT))))
			file(pid, c, arg, path, sizeof path);
		if (!strncmp(path, dir, strlen(dir))) {
			count++;
			int now = count == target || (error && !once && count > target && target > 0);
			if (count == target)
				met = c->name;
			/* A full disk still lets names go and sync what is there. */
			if (now && error == ENOSPC && (strstr("unlink rmdir fsync fdatasync", c->name)))
				now = 0;
			if (now && !strcmp(action, "kill")) {
				kill(first, SIGKILL);
				continue;
			}
			if (now && error) {
				r.orig_rax = -1;
				r.rax = -error;
				ptrace(PTRACE_SETREGS, pid, 0, &r);
			} else if (now && !strcmp(action, "short") && c->write) {
				unsigned long long *len = c->write == 3 ? &r.rdx : c->write == 4 ? &r.r10 : &r.r8;
				if (*len > 1)
					*len /= 2;
				ptrace(PTRACE_SETREGS, pid, 0, &r);
			}
		}
		ptrace(PTRACE_CONT, pid, 0, 0);
	}
	fprintf(stderr, "\nfaults: %ld calls, met %s\n", count, met);
	return code;
}
