// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "count_pages.h"

#include "binary_file.h"
#include "flat_pages.h"
#include "ohmglow/base/error.h"
#include "png_page.h"
#include "series_pages.h"
#include "text.h"
#include "tiff_pages.h"

namespace ohmglow {
namespace {

bool IsTiff(const std::string& start) {
  // Byte order, then 42, or 43 for BigTIFF: TIFF 6.0, section 2.
  using std::string_literals::operator""s;
  return start == "II*\0"s || start == "MM\0*"s || start == "II+\0"s || start == "MM\0+"s;
}

}  // namespace

std::unique_ptr<CountPages> OpenCountFile(const std::filesystem::path& file, RawSize raw) {
  RequireFile(file, "frames.source");
  const std::string start = BinaryFile(file).Peek(0, 4);
  if (start.empty()) throw InputError(file.string() + ": is empty; copy it again");
  if (IsTiff(start)) return std::make_unique<TiffPages>(file);
  if (start == "\x89PNG") return std::make_unique<PngPage>(file);
  if (start == "\x93NUM") return std::make_unique<FlatPages>(file, ReadNpyLayout(file));
  if (start.starts_with("P5")) return std::make_unique<FlatPages>(file, ReadPgmLayout(file));
  if (raw.width_px > 0) return std::make_unique<FlatPages>(file, ReadRawLayout(file, raw));
  throw InputError(file.string() +
                   ": is no TIFF, PNG, PGM (P5) or NPY file; for raw 16-bit data give "
                   "frames.width_px and frames.height_px");
}

std::unique_ptr<CountPages> OpenCounts(const std::filesystem::path& source, RawSize raw) {
  if (IsSeries(source)) return std::make_unique<SeriesPages>(ListFrameFiles(source), raw);
  return OpenCountFile(source, raw);
}

std::string PageName(const std::filesystem::path& file, int page) {
  return file.string() + ", page " + std::to_string(page + 1);
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

}  // namespace ohmglow
