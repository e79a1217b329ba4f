# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# Writes PAGES, the source file that holds all TEXTS, from files named <page>.txt.
set(source "// Generated from src/manual/*.md.\n#include \"manual/pages.h\"\n\n#include <array>\n\n")
string(APPEND source "namespace ohmglow {\nnamespace {\n\nconstexpr std::array kPages{\n")
foreach(file ${TEXTS})
  get_filename_component(page ${file} NAME_WE)
  file(READ ${file} text)
  string(APPEND source "    ManualPage{\"${page}\", R\"page(${text})page\"},\n")
endforeach()
string(APPEND source "};\n\n}  // namespace\n\n")
string(APPEND source "std::span<const ManualPage> ManualPages() { return kPages; }\n\n")
string(APPEND source "}  // namespace ohmglow\n")
file(WRITE ${PAGES} "${source}")
