// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Case file: its lines and the sections that say how frames and log are written.
#include "attempt.h"
#include "input/case_keys.h"
#include "input/frame_format.h"
#include "input/log_options.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace ohmglow;
  using namespace ohmglow::fuzzing;
  return Attempt([&] {
    const IniFile ini(kFile, Text(data, size), CaseKeys());
    for (const std::string& key : CaseKeys()) (void)ini.Find(key);
    (void)ReadFrameFormat(ini);
    (void)ReadLogOptions(ini);
  });
}
