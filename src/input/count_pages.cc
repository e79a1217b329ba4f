// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "count_pages.h"

#include "flat_pages.h"
#include "ohmglow/base/error.h"
#include "png_page.h"
#include "series_pages.h"
#include "tiff_handle.h"
#include "tiff_pages.h"

namespace ohmglow {
namespace {

// Deflate packs at most 1032 to one; others more, but not of pictures with noise.
constexpr std::uint64_t kMostPacking = 2000;
constexpr std::uint64_t kSmallPageBytes = std::uint64_t{64} << 20U;

}  // namespace

std::unique_ptr<CountPages> OpenCountFile(const ByteSource& file, RawSize raw) {
  const std::string start = file.Peek(0, 4);
  if (start.empty()) throw InputError(file.name() + ": is empty; copy it again");
  if (IsTiff(start)) return std::make_unique<TiffPages>(file);
  if (start == "\x89PNG") return std::make_unique<PngPage>(file);
  if (start == "\x93NUM") return std::make_unique<FlatPages>(file, ReadNpyLayout(file));
  if (start.starts_with("P5")) return std::make_unique<FlatPages>(file, ReadPgmLayout(file));
  if (raw.width_px > 0) return std::make_unique<FlatPages>(file, ReadRawLayout(file, raw));
  throw InputError(file.name() +
                   ": is no TIFF, PNG, PGM (P5) or NPY file; for raw 16-bit data give "
                   "frames.width_px and frames.height_px");
}

std::unique_ptr<CountPages> OpenCounts(const std::filesystem::path& source, RawSize raw) {
  if (IsSeries(source)) return std::make_unique<SeriesPages>(ListFrameFiles(source), raw);
  return OpenCountFile(ByteSource(source, "frames.source"), raw);
}

std::string PageName(const std::string& file, int page) {
  return file + ", page " + std::to_string(page + 1);
}

void CheckSize(const std::string& where, long long width_px, long long height_px) {
  if (width_px >= 1 && height_px >= 1 && width_px <= kLargestSidePx &&
      height_px <= kLargestSidePx) {
    return;
  }
  throw InputError(where + ": a size of " + std::to_string(width_px) + " x " +
                   std::to_string(height_px) + " px is not believable (1 .. " +
                   std::to_string(kLargestSidePx) + " a side); is the file damaged?");
}

void CheckPageBytes(const std::string& where, std::uint64_t page_bytes, std::uint64_t file_bytes) {
  if (page_bytes <= kSmallPageBytes || page_bytes / kMostPacking <= file_bytes) return;
  throw InputError(where + ": a picture of " + std::to_string(page_bytes >> 20U) +
                   " MB does not fit into this file of " + std::to_string(file_bytes >> 10U) +
                   " kB; is the file damaged?");
}

}  // namespace ohmglow
