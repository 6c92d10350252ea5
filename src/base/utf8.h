/* UTF-8: validity, decoding, and the width of a character in a terminal. */
#ifndef PL_BASE_UTF8_H
#define PL_BASE_UTF8_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Decodes one character of text[0..n-1]; returns its length in bytes, or 0 when the bytes are not
 * valid UTF-8 (overlong forms, surrogates and values above U+10FFFF are not). */
size_t pl_utf8_decode(const char *text, size_t n, uint32_t *code);

/* Offset of the first invalid byte, or n. */
size_t pl_utf8_check(const char *text, size_t n);

/* Columns on a terminal: 0 for combining marks and direction marks, 2 for wide East Asian
 * characters and emoji, else 1. */
int pl_utf8_width(uint32_t code);

/* C0, C1 and the two separators that end a line (U+2028, U+2029). */
bool pl_utf8_is_control(uint32_t code);

/* Marks that turn the direction of what follows: a line could be made to read as something else. */
bool pl_utf8_turns_text(uint32_t code);

#endif
