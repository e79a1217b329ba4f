// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "count_pages.h"

#include "archive_files.h"
#include "crop_pages.h"
#include "fits_pages.h"
#include "flat_pages.h"
#include "ohmglow/base/error.h"
#include "picture_page.h"
#include "png_codec.h"
#include "png_page.h"
#include "series_pages.h"
#include "table_pages.h"
#include "tiff_handle.h"
#include "tiff_pages.h"
#include "video_pages.h"

namespace ohmglow {
namespace {

// Deflate packs at most 1032 to one; others more, but not of pictures with noise.
constexpr std::uint64_t kMostPacking = 2000;
constexpr std::size_t kPngHeaderBytes = 29;
constexpr std::uint64_t kSmallPageBytes = std::uint64_t{64} << 20U;

// "P5" and its like, then a blank or a comment: Netpbm, pnm(5).
bool IsPnm(const std::string& start, char kind) {
  return start.size() > 2 && start[0] == 'P' && start[1] == kind &&
         std::string_view(" \t\r\n#").find(start[2]) != std::string_view::npos;
}

// Of a few arrays stored together the one that has frames; -1 where there is none.
int OnlyCube(const FrameFiles& files) {
  constexpr int kFew = 64;
  if (files.count() < 2 || files.count() > kFew || !files.Name(0).ends_with(".npy")) return -1;
  int found = -1;
  for (int i = 0; i < files.count(); ++i) {
    try {
      if (OpenNpy(files.Open(i))->count() < 2) continue;
    } catch (const InputError&) {
      continue;  // An array of times, say.
    }
    if (found >= 0) {
      throw InputError(files.Path(i) + " and " + files.Name(found) +
                       " both hold frames; name one by frames.member");
    }
    found = i;
  }
  return found;
}

// One file of frames in it, or a series of them.
std::unique_ptr<CountPages> OpenArchive(const ByteSource& file, const FrameFormat& format) {
  auto files = FilesOfArchive(file, format.member);
  if (const int index = OnlyCube(*files); index >= 0)
    return OpenCountFile(files->Open(index), format);
  if (files->count() > 1) return std::make_unique<SeriesPages>(std::move(files), format);
  const ByteSource only = files->Open(0);
  if (IsArchive(only.Peek(0, 512))) {
    throw InputError(only.name() + ": is an archive in an archive; unpack the outer one");
  }
  return OpenCountFile(only, format);
}

}  // namespace

std::unique_ptr<CountPages> OpenCountFile(const ByteSource& file, const FrameFormat& format) {
  const std::string start = file.Peek(0, 512);
  if (start.empty()) throw InputError(file.name() + ": is empty; copy it again");
  if (IsTiff(start)) return std::make_unique<TiffPages>(file);
  if (start.starts_with("\x89PNG")) {
    const bool grey = ReadPngHeader(start.substr(0, kPngHeaderBytes), file.name()).colour_type == 0;
    if (!grey) return std::make_unique<PicturePage>(file);
    return std::make_unique<PngPage>(file);
  }
  // Start of image, then the next marker: ITU-T T.81, table B.1.
  if (start.starts_with("\xFF\xD8\xFF")) return std::make_unique<PicturePage>(file);
  if (IsVideo(start)) return std::make_unique<VideoPages>(file);
  if (start.starts_with("\x93NUM")) return OpenNpy(file);
  if (IsPnm(start, '5')) return std::make_unique<FlatPages>(file, ReadPgmLayout(file));
  if (IsPnm(start, '2')) return OpenPlainPgm(file);
  if (IsPnm(start, 'f') || IsPnm(start, 'F')) {
    return std::make_unique<FlatPages>(file, ReadPfmLayout(file));
  }
  if (start.starts_with("SIMPLE  =")) return std::make_unique<FitsPages>(file);
  if (IsArchive(start)) return OpenArchive(file, format);
  const bool is_text =
      LooksLikeText(start) || start.starts_with("\xFF\xFE") || start.starts_with("\xFE\xFF");
  // Raw counts may happen to be letters.
  if (format.width_px > 0 && !(is_text && LooksLikeNumbers(start))) {
    return std::make_unique<FlatPages>(file, ReadRawLayout(file, format));
  }
  if (is_text) return std::make_unique<TablePages>(file, format);
  throw InputError(
      file.name() +
      ": is no TIFF, PNG, JPEG, PGM, PFM, NPY, NPZ, FITS or video file, no table of numbers and no "
      "archive of these; for raw data give frames.width_px and frames.height_px");
}

std::unique_ptr<CountPages> OpenCounts(const std::filesystem::path& source,
                                       const FrameFormat& format) {
  std::unique_ptr<CountPages> pages;
  if (IsSeries(source)) {
    pages = std::make_unique<SeriesPages>(FilesOfFolder(source), format);
  } else {
    pages = OpenCountFile(ByteSource(source, "frames.source"), format);
  }
  if (format.crop_px.area() == 0) return pages;
  const cv::Rect whole({0, 0}, pages->size_px());
  if ((format.crop_px & whole) != format.crop_px) {
    throw InputError(source.string() + ": its frames are " + std::to_string(whole.width) + " x " +
                     std::to_string(whole.height) +
                     " px, so that frames.crop reaches beyond them; correct it");
  }
  return std::make_unique<CropPages>(std::move(pages), format.crop_px);
}

std::string CutOffNote(const std::string& file, int lost, int all) {
  return file + ": the recording is cut off; " + std::to_string(lost) + " of " +
         std::to_string(all) + " frames at its end " + (lost == 1 ? "is" : "are") + " lost";
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
