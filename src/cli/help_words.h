/* `pinloom help WORD`: what a word of the language means. */
#ifndef PL_CLI_HELP_WORDS_H
#define PL_CLI_HELP_WORDS_H

#include <stdbool.h>

#include "base/buffer.h"

/* What it is, its pins and an example, onto `out`; false when the word is none of the language's.
 */
bool pl_help_word(struct pl_buffer *out, const char *word);

#endif
