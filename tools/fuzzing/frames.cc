// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Frames of one kind, FUZZ_KIND: opened, the first three pages read.
#include <algorithm>
#include <array>
#include <vector>

#include "attempt.h"
#include "input/count_pages.h"
#include "png_checksums.h"

namespace ohmglow::fuzzing {
namespace {

using std::string_literals::operator""s;

constexpr int kPages = 3;
constexpr std::string_view kKind = FUZZ_KIND;

// How files of the kind start; every input is made to start so.
std::vector<std::string> Starts() {
  if (kKind == "tiff") return {"II*\0"s, "MM\0*"s, "II+\0"s, "MM\0+"s};
  if (kKind == "png") return {"\x89PNG\r\n\x1a\n"s};
  if (kKind == "pnm") return {"P5\n", "P2\n", "Pf\n", "PF\n"};
  if (kKind == "npy") return {"\x93NUMPY"};
  if (kKind == "fits") return {"SIMPLE  ="};
  if (kKind == "archive")
    return {"PK\x03\x04",
            "\x1f\x8b",
            "BZh",
            "\xFD"
            "7zXZ\0"s,
            "\x28\xB5\x2F\xFD"};
  return {};
}

bool IsTar(const std::string& bytes) {
  return bytes.size() > 262 && bytes.compare(257, 5, "ustar") == 0;
}

std::string OfKind(std::string bytes) {
  const std::vector<std::string> starts = Starts();
  const auto fits = [&](const std::string& start) { return bytes.starts_with(start); };
  if (starts.empty() || std::any_of(starts.begin(), starts.end(), fits)) return bytes;
  if (kKind == "archive" && IsTar(bytes)) return bytes;
  return bytes.replace(0, std::min(bytes.size(), starts[0].size()), starts[0]);
}

void ReadPages(std::string bytes) {
  if (kKind == "png") MendPngChecksums(bytes);
  FrameFormat format;
  if (kKind == "raw") {
    format.width_px = 8;
    format.height_px = 6;
    format.offset_bytes = bytes.empty() ? 0 : static_cast<unsigned char>(bytes[0]);
    format.gap_bytes = format.offset_bytes % 7;
  }
  const auto pages = OpenCountFile(ByteSource::InMemory(std::move(bytes), kFile), format);
  cv::Mat counts;
  for (int page = 0; page < std::min(pages->count(), kPages); ++page) {
    pages->Read(page, counts);
    if (counts.size() != pages->size_px() || counts.type() != pages->type()) std::abort();
  }
  (void)pages->Notes();
  (void)pages->WallTimes();
  (void)pages->PageNames();
}

}  // namespace
}  // namespace ohmglow::fuzzing

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace ohmglow::fuzzing;
  return Attempt([&] { ReadPages(OfKind(Text(data, size))); });
}
