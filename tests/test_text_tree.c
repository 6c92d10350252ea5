/* Lines, statements and words, and what is said when they cannot be read. */
#include "base/limits.h"
#include "test_text.h"

#include "text/lexer.h"

/* ---- what reads ---- */

static const struct {
  const char *name, *text, *outline;
} shapes[] = {
    {"empty file", "", ""},
    {"only blanks", "  \n\t\n \r\n", ""},
    {"only comments", "# a\n  # b\n\t#\"c\n#", ""},
    {"one word", "state", "state{}\n"},
    {"statement with body",
     "place a\n  reach easy\n  engine space\nplace b\n",
     "place a{reach easy;engine space}\nplace b{}\n"},
    {"no final newline", "place a\n  reach easy", "place a{reach easy}\n"},
    {"CRLF", "place a\r\n  reach easy\r\nplace b\r\n", "place a{reach easy}\nplace b{}\n"},
    {"lone CR", "place a\r  reach easy\rplace b", "place a{reach easy}\nplace b{}\n"},
    {"mixed line ends",
     "place a\n\r  reach easy\r\rplace b\r\n",
     "place a{reach easy}\nplace b{}\n"},
    {"byte order mark", "\xEF\xBB\xBFplace a\n", "place a{}\n"},
    {"byte order mark alone", "\xEF\xBB\xBF", ""},
    {"empty lines do not end a statement",
     "place a\n\n# x\n  reach easy\n\n  engine space\n",
     "place a{reach easy;engine space}\n"},
    {"comment at the end", "place a # the cab\n  reach easy#not\n", "place a{reach easy#not}\n"},
    {"comment behind a comma and a text", "a b,#c\nd \"e\"#f\n", "a b ,{}\nd \"e\"{}\n"},
    {"commas", "a 1,2 , 3,\n", "a 1 , 2 , 3 ,{}\n"},
    {"colon at the end of a word",
     "position run: B to IGN\nend:\nlist:,x\nin:side\n : ::\n",
     "position run : B to IGN{}\nend :{}\nlist : , x{}\nin:side{: : :}\n"},
    {"colon before a quote", "key:\"x\"\n", "key : \"x\"{}\n"},
    {"texts", "a \"b c\" \"\" \"say \"\"hi\"\"\"\n", "a \"b c\" \"\" \"say \"hi\"\"{}\n"},
    {"text without blanks around", "a\"b\"c,\"d\",e\n", "a \"b\" c , \"d\" , e{}\n"},
    {"text keeps comment sign, comma, no-break space",
     "a \"# , \xC2\xA0\"\n",
     "a \"# , \xC2\xA0\"{}\n"},
    {"no-break space is a blank",
     "place\xC2\xA0"
     "a\n\xC2\xA0 reach\xE2\x80\x83"
     "easy\n",
     "place a{reach easy}\n"},
    {"letters of other alphabets", "place \xC3\xA4\xCE\xA9\n", "place \xC3\xA4\xCE\xA9{}\n"},
    {"minus as documents set it",
     "a \xE2\x88\x92"
     "20..\xE2\x88\x92"
     "10 \xE2\x80\x93"
     "5 \xE2\x88\x92 x\xE2\x88\x92"
     "1 \xE2\x88\x92.5\n",
     "a -20..-10 -5 - x\xE2\x88\x92"
     "1 -.5{}\n"},
    {"tabs indent",
     "place a\n\treach easy\n\tengine space\n",
     "place a{reach easy;engine space}\n"},
    {"a tab under blanks",
     "wires of x\n  1 a b\n\t2 a b\n  3 a b\n",
     "wires of x{1 a b;2 a b;3 a b}\n"},
    {"indents that differ a little", "place a\n   x\n  y\n    z\n w\n", "place a{x;y;z;w}\n"},
};

static void reads_shapes(void) {
  for (size_t i = 0; i < sizeof shapes / sizeof shapes[0]; i++) {
    struct reading reading;

    read_text(&reading, shapes[i].text);
    PL_CHECK_STR(outline(&reading), shapes[i].outline, shapes[i].name);
    PL_CHECK_STR(printed(&reading), "", shapes[i].name);
    done_reading(&reading);
  }
}

static void counts_cells(void) {
  struct reading reading;
  const struct pl_word *words;

  read_text(&reading,
            "wires of x\n\t41\tF3.out\t\t14 AWG\t# note\n\t\tF3.out\tE1.+\n\t43 F3.out\t# note\n");
  PL_CHECK_STR(outline(&reading),
               "wires of x{41 F3.out 14 AWG;F3.out E1.+;43 F3.out}\n",
               "pasted rows");
  CU_ASSERT_EQUAL_FATAL(reading.tree.words.n, 3 + 4 + 2 + 2);
  words = reading.tree.words.at + 3;
  PL_CHECK_INT(words[0].cell, 0, "41");
  PL_CHECK_INT(words[1].cell, 1, "F3.out");
  PL_CHECK_INT(words[2].cell, 3, "14 behind an empty cell");
  PL_CHECK_INT(words[3].cell, 3, "AWG");
  PL_CHECK_INT(words[4].cell, 1, "behind an empty first cell");
  PL_CHECK_INT(words[5].cell, 2, "the cell after it");
  PL_CHECK(!reading.tree.lines.at[0].tabbed, "opening line");
  PL_CHECK(reading.tree.lines.at[1].tabbed && reading.tree.lines.at[2].tabbed, "pasted rows");
  PL_CHECK(!reading.tree.lines.at[3].tabbed, "a tab before a comment is none between words");
  done_reading(&reading);
}

static void quoted_cells_stay_texts(void) {
  struct reading reading;

  read_text(&reading, "wires of x\n\t41\t\"14 AWG\"\t\"a, b\"\n");
  PL_CHECK_STR(outline(&reading), "wires of x{41 \"14 AWG\" \"a, b\"}\n", "quoted cells");
  done_reading(&reading);
}

static void spans_are_bytes_of_the_source(void) {
  struct reading reading;
  const char *text = "\xEF\xBB\xBFplace \"\xC3\xA4\"\"\" \xE2\x88\x92"
                     "5,x:\n";
  static const struct {
    uint32_t start, end;
  } spans[] = {{3, 8}, {9, 15}, {16, 20}, {20, 21}, {21, 22}, {22, 23}};

  read_text(&reading, text);
  CU_ASSERT_EQUAL_FATAL(reading.tree.words.n, 6);
  for (uint32_t i = 0; i < 6; i++) {
    PL_CHECK_INT(reading.tree.words.at[i].span.start, spans[i].start, "start");
    PL_CHECK_INT(reading.tree.words.at[i].span.end, spans[i].end, "end");
  }
  PL_CHECK_INT(reading.tree.lines.at[0].span.start, 3, "line");
  PL_CHECK_INT(reading.tree.lines.at[0].span.end, 23, "line");
  done_reading(&reading);
}

static void appends_files(void) {
  struct reading reading;

  read_text(&reading, "place a\n  reach easy\n");
  read_more(&reading, "  reach hard\nplace b\n");
  PL_CHECK_STR(outline(&reading), "place a{reach easy}\nplace b{}\n", "two files");
  PL_CHECK_INT(reading.tree.words.at[reading.tree.words.n - 1].span.file,
               1,
               "file of the last word");
  PL_CHECK_STR(printed(&reading),
               "y.loom:1:3: error: expected a line at the margin first, found an indented line "
               "with nothing above it [text]\n"
               "    reach hard\n"
               "    ^~~~~~~~~~\n"
               "  try: move it to the margin, or put the line it describes above it\n",
               "an indented line does not belong to the file before");
  done_reading(&reading);
}

static void reads_ten_megabytes(void) {
  static const char row[] = "  41   F3.out   S1.in    14 AWG    RD/WH  length 2.4 m\n";
  struct reading reading;
  struct pl_buffer text;
  struct pl_arena arena;

  pl_test_arena(&arena);
  pl_buffer_init(&text, &arena);
  pl_buffer_puts(&text, "wires of x\n");
  while (text.n < 10000000)
    pl_buffer_puts(&text, row);
  read_bytes(&reading, text.at, text.n);
  PL_CHECK_INT(reading.findings.errors, 0, "10 MB");
  PL_CHECK_INT(reading.tree.lines.n, 1 + (text.n - 11) / (sizeof row - 1), "rows");
  done_reading(&reading);
  pl_arena_release(&arena);
}

/* Every byte at every place of a line that is looked through eight bytes at a time. */
static void line_ends_anywhere(void) {
  for (size_t place = 0; place < 20; place++)
    for (unsigned byte = 1; byte < 256; byte++) {
      char text[] = "a line of 20 letters\nand another";
      struct pl_lexer lexer = {.text = text, .size = sizeof text - 1};
      bool ends = byte == '\n' || byte == '\r';
      bool control = byte < 32 || byte == 127;
      unsigned holds = 9;
      unsigned wanted = 0;
      if (byte > 127)
        wanted = PL_LINE_HIGH;
      else if (control && byte != '\t')
        wanted = PL_LINE_CONTROL;

      text[place] = (char)byte;
      PL_CHECK_INT(pl_lexer_line_end(&lexer, 0, &holds), ends ? place : 20, "line end");
      PL_CHECK_INT(holds, ends ? 0 : wanted, "holds");
    }
}

CU_TestInfo tree_tests[] = {{"line ends anywhere", line_ends_anywhere},
                            {"shapes of texts", reads_shapes},
                            {"cells of pasted rows", counts_cells},
                            {"quoted cells stay texts", quoted_cells_stay_texts},
                            {"spans are bytes of the source", spans_are_bytes_of_the_source},
                            {"several files in one tree", appends_files},
                            {"ten megabytes", reads_ten_megabytes},
                            CU_TEST_INFO_NULL};

/* ---- what does not ---- */

static const struct {
  const char *name, *text, *outline, *printed;
} mistakes[] = {
    {"not UTF-8",
     "place a\n  temperature -20..40 \xB0"
     "C\nplace b\n",
     "place a{}\nplace b{}\n",
     "x.loom:2:23: error: expected text in UTF-8, found the byte 0xB0, which cannot stand there "
     "[text]\n"
     "    temperature -20..40 ?C\n"
     "                        ^\n"
     "  try: save the file again with the encoding UTF-8\n"},
    {"not UTF-8, said once",
     "place \xE4\n  x\nplace \xF6\nplace c\n",
     "place c{}\n",
     "x.loom:1:7: error: expected text in UTF-8, found the byte 0xE4, which cannot stand there; 2 "
     "lines of "
     "this file have such bytes [text]\n"
     "  place ?\n"
     "        ^\n"
     "  try: save the file again with the encoding UTF-8\n"},
    {"cut short",
     "place \xE2\x88",
     "",
     "x.loom:1:7: error: expected text in UTF-8, found the byte 0xE2, which cannot stand there "
     "[text]\n"
     "  place ??\n"
     "        ^\n"
     "  try: save the file again with the encoding UTF-8\n"},
    {"control byte",
     "place a\n  reach \x1B[31m easy\nplace b\n",
     "place a{}\nplace b{}\n",
     "x.loom:2:9: error: expected plain text, found a control character (byte 0x1B) [text]\n"
     "    reach ?[31m easy\n"
     "          ^\n"
     "  try: delete it; if the file is not a text at all, name the .loom file instead\n"},
    {"control byte in a comment opens nothing",
     "place a\n# \x01\n  reach easy\n",
     "place a{reach easy}\n",
     "x.loom:2:3: error: expected plain text, found a control character (byte 0x01) [text]\n"
     "  # ?\n"
     "    ^\n"
     "  try: delete it; if the file is not a text at all, name the .loom file instead\n"},
    {"control characters, said once",
     "place \x01\nplace \x7F\nplace c\n",
     "place c{}\n",
     "x.loom:1:7: error: expected plain text, found a control character (byte 0x01); 2 lines of "
     "this file "
     "have such bytes [text]\n"
     "  place ?\n"
     "        ^\n"
     "  try: delete it; if the file is not a text at all, name the .loom file instead\n"},
    {"control character above U+007F",
     "place a\xC2\x85"
     "b\n",
     "",
     "x.loom:1:8: error: expected plain text, found the control character U+0085 [text]\n"
     "  place a?b\n"
     "         ^\n"
     "  try: delete it\n"},
    {"typographic quotes",
     "machine \xE2\x80\x9CPump set\xE2\x80\x9D\n  supply 24 V\nplace a\n",
     "place a{}\n",
     "x.loom:1:9: error: expected a plain quote, found a typographic one [text]\n"
     "  machine \xE2\x80\x9CPump set\xE2\x80\x9D\n"
     "          ^\n"
     "  try: type a plain \" in its place\n"},
    {"low quote",
     "machine \xE2\x80\x9EPump\"\n",
     "",
     "x.loom:1:9: error: expected a plain quote, found a typographic one [text]\n"
     "  machine \xE2\x80\x9EPump\"\n"
     "          ^\n"
     "  try: type a plain \" in its place\n"},
    {"unseen character",
     "place ca\xE2\x80\x8B"
     "b\n",
     "",
     "x.loom:1:9: error: found a character that cannot be seen (U+200B) [text]\n"
     "  place ca\xE2\x80\x8B"
     "b\n"
     "          ^\n"
     "  try: delete the word with it and type it again\n"},
    {"no closing quote",
     "machine \"Pump set  \n  supply 24 V\nplace a\n",
     "place a{}\n",
     "x.loom:1:9: error: expected a closing quote before the end of the line, found none [text]\n"
     "  machine \"Pump set  \n"
     "          ^~~~~~~~~\n"
     "  try: close the text with \" on the same line\n"},
    {"inches",
     "run a to b\n  length 12\"\n",
     "run a to b{}\n",
     "x.loom:2:12: error: expected a closing quote before the end of the line, found none [text]\n"
     "    length 12\"\n"
     "             ^\n"
     "  try: for inches write in behind the number: 12 in\n"},
    {"nothing above",
     "  reach easy\n  engine space\nplace a\n",
     "place a{}\n",
     "x.loom:1:3: error: expected a line at the margin first, found an indented line with nothing "
     "above it "
     "[text]\n"
     "    reach easy\n"
     "    ^~~~~~~~~~\n"
     "  try: move it to the margin, or put the line it describes above it\n"},
    {"third level",
     "module A\n  connector X\n    sealed\n    round\n  A1 ground\n      plug\n",
     "module A{connector X;A1 ground}\n",
     "x.loom:3:5: error: this line is indented deeper than the lines beside it; there are only two "
     "levels "
     "[text]\n"
     "      sealed\n"
     "      ^~~~~~\n"
     "  try: indent it like the line above it\n"
     "x.loom:6:7: error: this line is indented deeper than the lines beside it; there are only two "
     "levels "
     "[text]\n"
     "        plug\n"
     "        ^~~~\n"
     "  try: indent it like the line above it\n"},
    {"third level by tabs",
     "module A\n\tconnector X\n\t\tsealed\n",
     "module A{connector X}\n",
     "x.loom:3:17: error: this line is indented deeper than the lines beside it; there are only "
     "two levels "
     "[text]\n"
     "                  sealed\n"
     "                  ^~~~~~\n"
     "  try: indent it like the line above it\n"},
};
#define MISTAKES (sizeof mistakes / sizeof mistakes[0])

static void reports_mistakes(void) {
  for (size_t i = 0; i < MISTAKES; i++) {
    struct reading reading;

    read_text(&reading, mistakes[i].text);
    PL_CHECK_STR(outline(&reading), mistakes[i].outline, mistakes[i].name);
    PL_CHECK_STR(printed(&reading), mistakes[i].printed, mistakes[i].name);
    done_reading(&reading);
  }
}

static void names_utf16(void) {
  static const struct {
    const char *name, *bytes;
    size_t n;
  } files[] = {
      {"little end first", "\xFF\xFEp\0l\0", 6},
      {"big end first", "\xFE\xFF\0p\0l", 6},
      {"mark alone", "\xFF\xFE", 2},
      {"no mark, little", "p\0l\0a\0", 6},
      {"no mark, big", "\0p\0l\0a", 6},
  };

  for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
    struct reading reading;

    read_bytes(&reading, files[i].bytes, files[i].n);
    CU_ASSERT_EQUAL_FATAL(reading.findings.list.n, 1);
    PL_CHECK_STR(reading.findings.list.at[0].text,
                 "expected UTF-8, found a file in UTF-16",
                 files[i].name);
    PL_CHECK_STR(reading.findings.list.at[0].remedy,
                 "save the file again with the encoding UTF-8",
                 files[i].name);
    PL_CHECK_INT(reading.tree.lines.n, 0, files[i].name);
    done_reading(&reading);
  }
}

static void refuses_nul(void) {
  struct reading reading;

  read_bytes(&reading, "place a\0b\nplace c\n\0\0\0", 21);
  PL_CHECK_STR(outline(&reading), "place c{}\n", "NUL bytes");
  PL_CHECK_STR(printed(&reading),
               "x.loom:1:8: error: expected plain text, found a control character (byte 0x00); 2 "
               "lines of this file have "
               "such bytes [text]\n"
               "  place a?b\n"
               "         ^\n"
               "  try: delete it; if the file is not a text at all, name the .loom file instead\n",
               "NUL bytes");
  done_reading(&reading);
}

/* `head`, `n` times `c`, `tail`. */
static char *
stretched(struct pl_arena *arena, const char *head, char c, size_t n, const char *tail) {
  char *text = pl_arena_alloc(arena, strlen(head) + n + strlen(tail) + 1, 1);

  strcpy(text, head);
  memset(text + strlen(head), c, n);
  strcpy(text + strlen(head) + n, tail);
  return text;
}

static void holds_to_limits(void) {
  static const struct {
    const char *name, *head, *tail;
    size_t fits;
    char c;
    const char *text, *remedy;
  } limits[] = {
      {"line",
       "place ",
       "\n",
       PL_LIMIT_LINE - 6,
       ' ',
       "this line has 4097 bytes; a line has at most 4096",
       "break it up: one fact a line, one row a wire"},
      {"name",
       "place ",
       "\n",
       PL_LIMIT_NAME,
       'n',
       "this word has 65 bytes; a name has at most 64",
       "shorten it, or put it in \"double quotes\" if it is for people"},
      {"pin behind a device",
       "place ECM.",
       ".x\n",
       PL_LIMIT_NAME,
       'n',
       "this word has 71 bytes; a name has at most 64",
       "shorten it, or put it in \"double quotes\" if it is for people"},
      {"text",
       "place \"",
       "\"\n",
       PL_LIMIT_TEXT,
       't',
       "this text has 1001 bytes; a text has at most 1000",
       "shorten it"},
  };

  for (size_t i = 0; i < sizeof limits / sizeof limits[0]; i++) {
    struct reading reading;
    struct pl_arena arena;

    pl_test_arena(&arena);
    read_text(&reading,
              stretched(&arena, limits[i].head, limits[i].c, limits[i].fits, limits[i].tail));
    PL_CHECK_INT(reading.findings.errors, 0, limits[i].name);
    PL_CHECK_INT(reading.tree.lines.n, 1, limits[i].name);
    done_reading(&reading);
    read_text(&reading,
              stretched(&arena, limits[i].head, limits[i].c, limits[i].fits + 1, limits[i].tail));
    PL_CHECK_INT(reading.tree.lines.n, 0, limits[i].name);
    CU_ASSERT_EQUAL_FATAL(reading.findings.list.n, 1);
    PL_CHECK_STR(reading.findings.list.at[0].text, limits[i].text, limits[i].name);
    PL_CHECK_STR(reading.findings.list.at[0].remedy, limits[i].remedy, limits[i].name);
    done_reading(&reading);
    pl_arena_release(&arena);
  }
}

static void holds_to_the_size_of_a_file(void) {
  struct reading reading;

  read_text(&reading, "place a\n");
  reading.sources.files.at[0].size =
      (size_t)PL_LIMIT_FILE + 1; /* it is refused before it is looked at */
  pl_tree_read(&reading.tree, &reading.sources, 0, &reading.findings);
  reading.sources.files.at[0].size = 8;
  CU_ASSERT_EQUAL_FATAL(reading.findings.list.n, 1);
  PL_CHECK_STR(reading.findings.list.at[0].text,
               "this file has 67108865 bytes; a file has at most 67108864",
               "size");
  done_reading(&reading);
}

/* Three mistakes that have nothing to do with each other give three messages, whatever stands
 * around them. */
static void gives_three_for_three(void) {
  struct reading reading;

  read_text(&reading,
            "machine \"Pump\n  supply 24 V\n  earth negative\nplace a\n  reach easy\n      engine "
            "space\n      tail\n"
            "place b\xC2\xAD\n  reach easy\nplace c\n");
  PL_CHECK_INT(reading.findings.errors, 3, "errors");
  PL_CHECK_STR(outline(&reading), "place a{reach easy}\nplace c{}\n", "what is left");
  done_reading(&reading);
}

CU_TestInfo tree_error_tests[] = {{"mistakes", reports_mistakes},
                                  {"UTF-16 is named as such", names_utf16},
                                  {"NUL bytes", refuses_nul},
                                  {"limits of lines, names and texts", holds_to_limits},
                                  {"limit of a file", holds_to_the_size_of_a_file},
                                  {"three mistakes give three messages", gives_three_for_three},
                                  CU_TEST_INFO_NULL};
