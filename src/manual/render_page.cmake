# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# Turns a page in Markdown into a manual page (ROFF) and a plain text of 80 columns (TEXT).
# A line "<!-- part NAME -->" stands for parts/NAME.md.

# Reads without making a list of the text: a semicolon is a character as any other.
file(READ ${SOURCE} markdown)
get_filename_component(folder ${SOURCE} DIRECTORY)
while(markdown MATCHES "<!-- part ([a-z_]+) -->")
  set(name ${CMAKE_MATCH_1})
  file(READ ${folder}/parts/${name}.md part)
  string(REPLACE "<!-- part ${name} -->" "${part}" markdown "${markdown}")
endwhile()
file(WRITE ${TEXT}.md "${markdown}")

# lowdown's own quotes and dashes would turn --out into a dash and a word.
execute_process(
  COMMAND ${LOWDOWN} -s --out-no-smarty --nroff-nolinks -T man -M title=${PAGE} -M section=${SECTION}
          -M date= "-M" "source=ohmglow ${VERSION}" "-M" "volume=ohmglow manual" ${TEXT}.md
  OUTPUT_VARIABLE roff COMMAND_ERROR_IS_FATAL ANY)
file(REMOVE ${TEXT}.md)

# The first line names what man must run before: tbl, for tables.
string(REGEX REPLACE "[^\n]*\n(\\.TH [^\n]*)\n" "'\\\\\" t\n\\1\n.ad l\n.nh\n.ss 12 0\n" roff "${roff}")
# Headings on the line of their macro, as programs that index pages read them.
string(REGEX REPLACE "\\.(S[HS])\n([^\n]+)\n" ".\\1 \\2\n" roff "${roff}")
# A name and its meaning, as man pages have them.
string(REGEX REPLACE "\\.LP\n([^\n]+)\n\\.if n [^\n]*\n\\.sp[^\n]*\n\\.if t [^\n]*\n\\.sp[^\n]*\n\\.IP \"\" 5n\n"
       ".TP 5n\n\\1\n" roff "${roff}")
# A minus that can be copied and typed, whatever the reader's settings.
string(REPLACE "--" "\\-\\-" roff "${roff}")
string(REPLACE "ohmglow-" "ohmglow\\-" roff "${roff}")
string(REPLACE ".TH \"ohmglow\\-" ".TH \"ohmglow-" roff "${roff}")
string(REPLACE "expand allbox;" "box;" roff "${roff}")
string(REPLACE "\n.EX\n" "\n.RS 2\n.EX\n" roff "${roff}")
string(REPLACE "\n.EE\n" "\n.EE\n.RE\n" roff "${roff}")
get_filename_component(folder ${ROFF} DIRECTORY)
file(MAKE_DIRECTORY ${folder})
file(WRITE ${ROFF} "${roff}")

execute_process(
  COMMAND ${GROFF} -K utf8 -t -man -T utf8 -P -cbou -r LL=80n -r HY=0 -r cR=1 ${ROFF}
  OUTPUT_VARIABLE text COMMAND_ERROR_IS_FATAL ANY)
# Neither the page's head and foot, nor runs of empty lines.
string(FIND "${text}" "NAME" start)
string(FIND "${text}" "ohmglow ${VERSION} " end REVERSE)
math(EXPR length "${end} - ${start}")
string(SUBSTRING "${text}" ${start} ${length} text)
string(STRIP "${text}" text)
string(REGEX REPLACE "\n\n\n+" "\n\n" text "${text}\n")
file(WRITE ${TEXT} "${text}")
