//go:build !novoice && linux

#define _GNU_SOURCE // memfd_create, fopencookie
#include "engine.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <time.h>
#include <unistd.h>

#include <sphinxbase/err.h>
#include <sphinxbase/jsgf.h>

// State of the guarded call that runs on this thread.
static __thread jmp_buf *guard;
static __thread char message[512];

// Takes what the library would print. A fatal message is followed by exit()
// in the library, so this leaves the call instead; what the call had
// allocated is lost, which is the price of staying alive.
static void on_message(void *user, err_lvl_t level, const char *format, ...)
{
	(void)user;
	if (level < ERR_ERROR)
		return;
	size_t used = strlen(message);
	if (used > 0 && used + 3 < sizeof message) {
		strcat(message, "; ");
		used += 2;
	}
	va_list args;
	va_start(args, format);
	vsnprintf(message + used, sizeof message - used, format, args);
	va_end(args);
	for (char *c = message + used; *c; c++)
		if (*c == '\n')
			*c = ' ';
	if (level == ERR_FATAL && guard)
		longjmp(*guard, 1);
}

const char *cap_error(void)
{
	return message;
}

// Opens a guarded stretch; FAILED is what to return when the library gave up.
#define GUARDED(FAILED)                       \
	jmp_buf here;                         \
	message[0] = '\0';                    \
	err_set_logfp(NULL);                  \
	err_set_callback(on_message, NULL);   \
	guard = &here;                        \
	if (setjmp(here)) {                   \
		guard = NULL;                 \
		return FAILED;                \
	}
#define UNGUARDED guard = NULL

ps_decoder_t *cap_open(int argc, char **argv)
{
	GUARDED(NULL);
	ps_decoder_t *ps = NULL;
	cmd_ln_t *config = cmd_ln_parse_r(NULL, ps_args(), argc, argv, TRUE);
	if (config) {
		ps = ps_init(config);
		cmd_ln_free_r(config);
	}
	UNGUARDED;
	return ps;
}

void cap_close(ps_decoder_t *ps)
{
	GUARDED();
	ps_free(ps);
	UNGUARDED;
}

int cap_add_word(ps_decoder_t *ps, const char *word, const char *phones)
{
	GUARDED(-1);
	int id = ps_add_word(ps, word, phones, FALSE);
	UNGUARDED;
	return id;
}

int cap_has_word(ps_decoder_t *ps, const char *word)
{
	GUARDED(0);
	char *phones = ps_lookup_word(ps, word);
	UNGUARDED;
	int found = phones != NULL;
	ckd_free(phones);
	return found;
}

static char *copy(const char *s)
{
	char *c = malloc(strlen(s) + 1);
	if (c)
		strcpy(c, s);
	return c;
}

char *cap_pronunciation(ps_decoder_t *ps, const char *word)
{
	GUARDED(NULL);
	char *phones = ps_lookup_word(ps, word);
	UNGUARDED;
	char *out = phones ? copy(phones) : NULL;
	ckd_free(phones);
	return out;
}

static jsgf_rule_t *public_rule(jsgf_t *grammar)
{
	for (jsgf_rule_iter_t *it = jsgf_rule_iter(grammar); it; it = jsgf_rule_iter_next(it))
		if (jsgf_rule_public(jsgf_rule_iter_rule(it))) {
			jsgf_rule_t *rule = jsgf_rule_iter_rule(it);
			jsgf_rule_iter_free(it);
			return rule;
		}
	return NULL;
}

static int take_arcs(fsg_model_t *fsg, cap_network_t *out)
{
	int room = 0;
	for (int i = 0; i < fsg_model_n_state(fsg); i++)
		for (fsg_arciter_t *it = fsg_model_arcs(fsg, i); it; it = fsg_arciter_next(it))
			room++;
	out->n_states = fsg_model_n_state(fsg);
	out->start = fsg_model_start_state(fsg);
	out->final = fsg_model_final_state(fsg);
	out->arcs = malloc((3 * (size_t)room + 1) * sizeof(int));
	out->words = calloc(fsg_model_n_word(fsg) + 1, sizeof(char *));
	if (!out->arcs || !out->words)
		return -1;
	for (int i = 0; i < out->n_states; i++)
		for (fsg_arciter_t *it = fsg_model_arcs(fsg, i); it; it = fsg_arciter_next(it)) {
			fsg_link_t *link = fsg_arciter_get(it);
			int *arc = out->arcs + 3 * (size_t)out->n_arcs++;
			arc[0] = link->from_state;
			arc[1] = link->to_state;
			arc[2] = link->wid;
		}
	for (int i = 0; i < fsg_model_n_word(fsg); i++)
		if (!(out->words[out->n_words++] = copy(fsg_model_word_str(fsg, i))))
			return -1;
	return 0;
}

int cap_compile_jsgf(ps_decoder_t *ps, const char *jsgf, cap_network_t *out)
{
	memset(out, 0, sizeof *out);
	GUARDED(-1);
	int rc = -1;
	jsgf_t *grammar = jsgf_parse_string(jsgf, NULL);
	jsgf_rule_t *rule = grammar ? public_rule(grammar) : NULL;
	if (grammar && !rule)
		E_ERROR("the grammar has no public rule\n");
	if (grammar && !rule)
		strcpy(message, "it has no public rule");
	fsg_model_t *fsg = rule ? jsgf_build_fsg_raw(grammar, rule, ps_get_logmath(ps), 1.0) : NULL;
	// A rule that is not there is complained about, and then left out.
	if (fsg && !message[0])
		rc = take_arcs(fsg, out);
	if (fsg)
		fsg_model_free(fsg);
	if (grammar)
		jsgf_grammar_free(grammar);
	UNGUARDED;
	return rc;
}

void cap_free_network(cap_network_t *n)
{
	for (int i = 0; i < n->n_words; i++)
		free(n->words[i]);
	free(n->words);
	free(n->arcs);
}

int cap_set_network(ps_decoder_t *ps, const char *name, const cap_network_t *n)
{
	GUARDED(-1);
	float32 lw = cmd_ln_float32_r(ps_get_config(ps), "-lw");
	fsg_model_t *fsg = fsg_model_init(name, ps_get_logmath(ps), lw, n->n_states);
	fsg->start_state = n->start;
	fsg->final_state = n->final;
	for (int i = 0; i < n->n_words; i++)
		fsg_model_word_add(fsg, n->words[i]);
	for (int i = 0; i < n->n_arcs; i++) {
		const int *arc = n->arcs + 3 * (size_t)i;
		if (arc[2] < 0)
			fsg_model_null_trans_add(fsg, arc[0], arc[1], 0);
		else
			fsg_model_trans_add(fsg, arc[0], arc[1], logmath_ln_to_log(ps_get_logmath(ps), -n->costs[arc[2]]), arc[2]);
	}
	glist_free(fsg_model_null_trans_closure(fsg, NULL));
	int rc = ps_set_fsg(ps, name, fsg);
	fsg_model_free(fsg);
	UNGUARDED;
	return rc;
}

int cap_set_allphone(ps_decoder_t *ps, const char *name, const char *path)
{
	GUARDED(-1);
	int rc = ps_set_allphone_file(ps, name, path);
	UNGUARDED;
	return rc;
}

int cap_set_lm(ps_decoder_t *ps, const char *name, const char *path)
{
	GUARDED(-1);
	int rc = ps_set_lm_file(ps, name, path);
	UNGUARDED;
	return rc;
}

int cap_set_keyphrase(ps_decoder_t *ps, const char *name, const char *phrase, double threshold)
{
	GUARDED(-1);
	cmd_ln_set_float_r(ps_get_config(ps), "-kws_threshold", threshold);
	int rc = ps_set_keyphrase(ps, name, phrase);
	UNGUARDED;
	return rc;
}

int cap_unset(ps_decoder_t *ps, const char *name)
{
	GUARDED(-1);
	int rc = ps_unset_search(ps, name);
	UNGUARDED;
	return rc;
}

int cap_set_float(ps_decoder_t *ps, const char *option, double value)
{
	GUARDED(-1);
	cmd_ln_set_float_r(ps_get_config(ps), option, value);
	UNGUARDED;
	return 0;
}

static void take_words(ps_decoder_t *ps, ps_result_t *out)
{
	int room = 0;
	for (ps_seg_t *seg = ps_seg_iter(ps); seg; seg = ps_seg_next(seg)) {
		if (out->n_words == room) {
			room = room ? 2 * room : 32;
			ps_word_t *more = realloc(out->words, room * sizeof *more);
			if (!more) {
				ps_seg_free(seg);
				return;
			}
			out->words = more;
		}
		ps_word_t *w = &out->words[out->n_words];
		int32 language, backoff;
		w->word = copy(ps_seg_word(seg));
		ps_seg_frames(seg, &w->first, &w->last);
		ps_seg_prob(seg, &w->acoustic, &language, &backoff);
		if (w->word)
			out->n_words++;
	}
}

static void take_result(ps_decoder_t *ps, ps_result_t *out)
{
	const char *text = ps_get_hyp(ps, &out->score);
	out->frames = ps_get_n_frames(ps);
	if (text)
		out->text = copy(text);
	if (text && *text)
		take_words(ps, out);
}

int cap_decode(ps_decoder_t *ps, const char *name, const int16 *samples, size_t n, const char *opened, const char *folder, ps_result_t *out)
{
	memset(out, 0, sizeof *out);
	GUARDED(-1);
	int rc = ps_set_search(ps, name);
	// A new stream forgets the noise of the one before: the same sound
	// always gives the same words.
	if (rc >= 0)
		rc = ps_start_stream(ps);
	if (rc >= 0)
		rc = ps_start_utt(ps);
	if (opened)
		unlink(opened);
	if (folder)
		rmdir(folder);
	if (rc >= 0) {
		rc = ps_process_raw(ps, samples, n, FALSE, TRUE);
		int end = ps_end_utt(ps);
		if (rc >= 0)
			rc = end;
	}
	if (rc >= 0)
		take_result(ps, out);
	UNGUARDED;
	return rc < 0 ? -1 : 0;
}

// Reads scores while they are written.
struct reader {
	const cap_scores_t *scores;
	off_t at;
};

static ssize_t read_scores(void *cookie, char *to, size_t size)
{
	struct reader *r = cookie;
	for (;;) {
		int done = __atomic_load_n(&r->scores->done, __ATOMIC_ACQUIRE);
		if (__atomic_load_n(&r->scores->stopped, __ATOMIC_RELAXED))
			return 0;
		ssize_t n = pread(r->scores->memory, to, size, r->at);
		if (n > 0)
			r->at += n;
		if (n != 0 || done)
			return n;
		nanosleep(&(struct timespec){.tv_nsec = 1000000}, NULL);
	}
}

int cap_decode_scores(ps_decoder_t *ps, const char *name, const cap_scores_t *scores, ps_result_t *out)
{
	memset(out, 0, sizeof *out);
	struct reader r = {scores, 0};
	FILE *f = fopencookie(&r, "rb", (cookie_io_functions_t){.read = read_scores});
	if (!f)
		return -1;
	GUARDED(-1);
	int rc = ps_set_search(ps, name);
	if (rc >= 0)
		rc = ps_decode_senscr(ps, f);
	if (rc >= 0)
		take_result(ps, out);
	UNGUARDED;
	fclose(f);
	return rc < 0 ? -1 : 0;
}

int cap_open_scores(cap_scores_t *scores)
{
	memset(scores, 0, sizeof *scores);
	scores->memory = memfd_create("scores", MFD_CLOEXEC);
	return scores->memory < 0 ? -1 : 0;
}

int cap_begin_scores(cap_scores_t *scores)
{
	__atomic_store_n(&scores->done, 0, __ATOMIC_RELAXED);
	__atomic_store_n(&scores->stopped, 0, __ATOMIC_RELAXED);
	return ftruncate(scores->memory, 0);
}

void cap_end_scores(cap_scores_t *scores)
{
	__atomic_store_n(&scores->done, 1, __ATOMIC_RELEASE);
}

void cap_stop_scores(cap_scores_t *scores)
{
	__atomic_store_n(&scores->stopped, 1, __ATOMIC_RELAXED);
}

void cap_free(ps_result_t *out)
{
	free(out->text);
	for (int i = 0; i < out->n_words; i++)
		free(out->words[i].word);
	free(out->words);
	memset(out, 0, sizeof *out);
}
