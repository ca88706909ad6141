//go:build !novoice && linux

package sound

// #cgo LDFLAGS: -ldl
// #include <dlfcn.h>
// #include <stddef.h>
//
// static void say_nothing(const char *file, int line, const char *function, int err, const char *format, ...)
// {
// 	(void)file; (void)line; (void)function; (void)err; (void)format;
// }
//
// // ALSA prints what goes wrong on stderr by itself; the errors that matter
// // come back as results and are told by the caller.
// static void quiet_alsa(void)
// {
// 	void *lib = dlopen("libasound.so.2", RTLD_NOW);
// 	if (!lib)
// 		return;
// 	int (*set)(void (*)(const char *, int, const char *, int, const char *, ...)) = dlsym(lib, "snd_lib_error_set_handler");
// 	if (set)
// 		set(say_nothing);
// }
import "C"

// quietALSA keeps the sound library from writing to stderr.
func quietALSA() { C.quiet_alsa() }
