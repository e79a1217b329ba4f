// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Writes what is read of a supply log or a placement list, a row a line, parted by tabs.
//   input_dump_tables log|parts FILE
#include <cstdio>
#include <exception>
#include <fstream>
#include <iterator>
#include <string>

#include "input/placement_list.h"
#include "input/supply_log.h"

namespace {

void DumpLog(const std::string& bytes, const char* name) {
  const ohmglow::SupplyLog log = ohmglow::ParseSupplyLog(bytes, name, {}).log;
  for (std::size_t i = 0; i < log.time_s.size(); ++i) {
    std::printf("%.9g\t%.9g\t%.9g\n", log.time_s[i], log.volts_v[i], log.amps_a[i]);
  }
}

void DumpParts(const std::string& bytes, const char* name) {
  for (const ohmglow::Part& part : ohmglow::ParsePlacementList(bytes, name, {}).parts) {
    std::printf("%s\t%.9g\t%.9g\t%.9g\t%.9g\t%s\n",
                part.ref.c_str(),
                part.center_mm.x,
                part.center_mm.y,
                part.width_mm,
                part.height_mm,
                part.side == ohmglow::BoardSide::kTop ? "top" : "bottom");
  }
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) return 2;
  try {
    std::ifstream file(argv[2], std::ios::binary);
    const std::string bytes{std::istreambuf_iterator<char>(file), {}};
    std::string(argv[1]) == "log" ? DumpLog(bytes, argv[2]) : DumpParts(bytes, argv[2]);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n", error.what());
    return 1;
  }
  return 0;
}
