//go:build !novoice && linux

// A thin layer over libpocketsphinx: every call is guarded, so that an error
// which the library would print, or end the process with, comes back as text.
#ifndef CAPTURE_ENGINE_H
#define CAPTURE_ENGINE_H

#include <pocketsphinx.h>

typedef struct {
	char *word; // owned by the result
	int first, last; // frames of 10 ms, both included
	int32 acoustic;
} ps_word_t;

typedef struct {
	char *text; // NULL when nothing fits
	int32 score;
	int frames;
	ps_word_t *words;
	int n_words;
} ps_result_t;

// What the library said about the last failed call of this thread; "" if nothing.
const char *cap_error(void);

ps_decoder_t *cap_open(int argc, char **argv);
void cap_close(ps_decoder_t *ps);
int cap_add_word(ps_decoder_t *ps, const char *word, const char *phones);
int cap_has_word(ps_decoder_t *ps, const char *word);
// The sounds of a word; NULL where it is not known. The caller frees it.
char *cap_pronunciation(ps_decoder_t *ps, const char *word);

// A network of words: n_arcs arcs as triples (from, to, word), word -1 for none.
typedef struct {
	int n_states, start, final;
	int n_arcs;
	int *arcs;
	int n_words;
	char **words;
	double *costs; // of a word of words, nats; not made by cap_compile_jsgf
} cap_network_t;

// Compiles a speech grammar; the network is freed with cap_free_network.
int cap_compile_jsgf(ps_decoder_t *ps, const char *jsgf, cap_network_t *out);
void cap_free_network(cap_network_t *n);
int cap_set_network(ps_decoder_t *ps, const char *name, const cap_network_t *n);
int cap_set_allphone(ps_decoder_t *ps, const char *name, const char *path);
int cap_set_lm(ps_decoder_t *ps, const char *name, const char *path);
int cap_set_keyphrase(ps_decoder_t *ps, const char *name, const char *phrase, double threshold);
int cap_unset(ps_decoder_t *ps, const char *name);
int cap_set_float(ps_decoder_t *ps, const char *option, double value);

// Decodes a whole utterance from a clean state with the named search. What the
// library has opened then, the file opened and the folder it is in, is removed, so that nothing is
// left of it whatever becomes of the process; NULL for both: nothing is. The result is
// freed with cap_free. 0 on success.
int cap_decode(ps_decoder_t *ps, const char *name, const int16 *samples, size_t n, const char *opened, const char *folder, ps_result_t *out);
void cap_free(ps_result_t *out);

// The acoustic scores of an utterance, in memory, that one decoder writes
// (-senlogdir) and others of the same acoustic model read.
typedef struct {
	int memory; // file descriptor
	int32 done; // all is written
	int32 stopped; // nobody wants the rest
} cap_scores_t;

int cap_open_scores(cap_scores_t *scores);
int cap_begin_scores(cap_scores_t *scores);
void cap_end_scores(cap_scores_t *scores);
void cap_stop_scores(cap_scores_t *scores);

// Decodes an utterance from its scores, and waits for those that are still to
// come. 0 on success.
int cap_decode_scores(ps_decoder_t *ps, const char *name, const cap_scores_t *scores, ps_result_t *out);

#endif
