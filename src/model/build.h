/* From text to model: the only room that sees both.  Names are resolved, units turned into base
 * units, parts copied in, lengths taken from the runs.  Files come through a reader, so that tests
 * and fuzzers need no disk. */
#ifndef PL_MODEL_BUILD_H
#define PL_MODEL_BUILD_H

#include "base/file.h"
#include "finding/finding.h"
#include "harness/harness.h"

struct pl_reader {
  enum pl_file_status (*read)(void *context,
                              struct pl_arena *arena,
                              const char *path,
                              const char **text,
                              size_t *size);
  void *context;
};

/* Reads files from the disk. */
extern const struct pl_reader pl_reader_disk;

/* Gives `text`, which must outlive it, whatever file is asked for. */
struct pl_reader pl_reader_text(const char *text);

/* Builds the harness of `path`.  Errors are reported as findings of severity PL_ERROR, all of one
 * run, without cascades; false when there were any.  Faults of the description that do not keep it
 * from being read (a length nobody can know) are reported as faults. */
bool pl_build(const char *path,
              const struct pl_reader *reader,
              struct pl_sources *sources,
              struct pl_findings *findings,
              struct pl_harness *harness);

/* The digest of all texts of a built harness, harness->digest, which is "" until then: what prints
 * it or keeps by it asks for it. */
void pl_build_digest(const struct pl_sources *sources, struct pl_harness *harness);

/* The shipped parts: name, kind and figures, in order, for a list. */
struct pl_part_entry {
  const char *name;
  enum pl_kind kind;
  const char *text, *lines;
}; /* lines: its describing lines as written, each ended */
void pl_build_list_parts(struct pl_arena *arena, struct pl_part_entry **entries, uint32_t *count);

/* The words of the language, for the documents' test: every opening word and every describing line
 * with its example. */
struct pl_language_word {
  const char *word, *example;
};
uint32_t pl_language_words(const struct pl_language_word **words, struct pl_arena *arena);

#endif
