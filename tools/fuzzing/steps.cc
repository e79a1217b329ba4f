// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Levels of a supply: a table, through a file in memory, as its reader opens files alone.
#include <sys/mman.h>
#include <unistd.h>

#include "attempt.h"
#include "input/supply_levels.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace ohmglow;
  using namespace ohmglow::fuzzing;
  static const int file = memfd_create("steps", 0);
  static const std::string path = "/proc/self/fd/" + std::to_string(file);
  if (ftruncate(file, 0) != 0 || pwrite(file, data, size, 0) != static_cast<ssize_t>(size))
    return 0;
  return Attempt([&] { (void)ReadLevels(path, 2, "supply.steps"); }, path);
}
