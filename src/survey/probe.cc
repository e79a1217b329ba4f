// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <fstream>

#include "input/archive_files.h"
#include "input/count_pages.h"
#include "input/photo.h"
#include "input/text.h"
#include "input/video_pages.h"
#include "ohmglow/base/error.h"
#include "survey/found_file.h"
#include "survey/picture_header.h"

namespace ohmglow {
namespace {

using Kind = FoundFile::Kind;

// A JPEG's size stands behind whatever its camera wrote about itself.
constexpr std::size_t kStartBytes = std::size_t{128} << 10U;

std::string Start(const std::filesystem::path& file) {
  std::ifstream stream(file, std::ios::binary);
  std::string bytes(kStartBytes, '\0');
  stream.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  bytes.resize(static_cast<std::size_t>(stream.gcount()));
  return bytes;
}

bool IsText(std::string_view start) {
  // UTF-16 has zeros in every Latin letter.
  if (start.starts_with("\xFF\xFE") || start.starts_with("\xFE\xFF")) return true;
  return !start.empty() && start.find('\0') == std::string_view::npos;
}

// Other programs write files of settings, too.
bool IsCaseFile(std::string_view name, std::string_view start) {
  const std::string text = ToLower(start);
  const auto has = [&](const char* section) { return text.find(section) != std::string::npos; };
  if (ToLower(name).ends_with("case.ini")) return has("=");
  return ToLower(name).ends_with(".ini") && has("=") &&
         (has("[frames]") || has("[supply]") || has("[board]") || has("[surface]"));
}

// The last line may be cut in two.
std::string_view WholeLines(std::string_view start) {
  if (start.size() < kStartBytes) return start;
  const std::size_t end = start.rfind('\n');
  return end == std::string_view::npos ? start : start.substr(0, end + 1);
}

void ProbeGrey(const std::filesystem::path& file, FoundFile& found) {
  try {
    const auto pages = OpenCounts(file, {});
    found.kind = Kind::kGrey;
    found.size_px = pages->size_px();
    found.pages = pages->count() * static_cast<int>(found.group.files.size());
  } catch (const InputError& error) {
    found.problem = error.what();
  }
}

// The names of its files and the first of them: unpacking all is left to whoever reads it.
void ProbeArchive(const std::filesystem::path& path, FoundFile& found) {
  try {
    const ByteSource file(path, {});
    const ArchiveLook look = LookIntoArchive(file);
    // A few arrays stored together: which holds the frames is known to their reader.
    if (look.files == 1 || look.first.ends_with(".npy")) return ProbeGrey(path, found);
    const auto first = OpenCountFile(FileOfArchive(file, look.first)->Open(0), {});
    found.kind = Kind::kGrey;
    found.size_px = first->size_px();
    found.pages = look.files;
  } catch (const InputError& error) {
    found.problem = error.what();
  }
}

// A colour TIFF tells itself only when it is decoded.
void ProbeColour(const std::filesystem::path& file, FoundFile& found) {
  try {
    const cv::Mat photo = ReadPhoto(file);
    found.kind = Kind::kColour;
    found.size_px = photo.size();
    found.pages = static_cast<int>(found.group.files.size());
    found.problem.clear();
  } catch (const InputError&) {
    found.kind = Kind::kUnreadable;
  }
}

bool IsTiff(std::string_view start) { return start.starts_with("II") || start.starts_with("MM"); }

// Kinds of frames that are told by no header of a picture.
bool MayBeFrames(std::string_view start) {
  return IsTiff(start) || start.starts_with("\x93NUM") || start.starts_with("SIMPLE  =") ||
         start.starts_with("Pf");
}

}  // namespace

FoundFile Probe(const std::filesystem::path& folder, FileGroup group) {
  FoundFile found;
  found.group = std::move(group);
  const std::string& name = found.group.files.front().name;
  const std::filesystem::path file = folder / name;
  const std::string start = Start(file);
  if (const auto header = ReadPictureHeader(start)) {
    found.size_px = header->size_px;
    found.pages = static_cast<int>(found.group.files.size());
    found.kind = header->colour ? Kind::kColour : Kind::kGrey;
  } else if (StartsAsPicture(start)) {
    found.kind = Kind::kUnreadable;
    found.problem = "its header is damaged";
  } else if (IsVideo(start)) {
    found.kind = Kind::kFilm;
  } else if (IsArchive(start)) {
    ProbeArchive(file, found);
    if (found.kind == Kind::kUnknown) found.kind = Kind::kUnreadable;
  } else if (MayBeFrames(start)) {
    ProbeGrey(file, found);
    if (found.kind == Kind::kUnknown && IsTiff(start)) ProbeColour(file, found);
    if (found.kind == Kind::kUnknown) found.kind = Kind::kUnreadable;
  } else if (IsText(start)) {
    found.kind = IsCaseFile(name, start) ? Kind::kCaseFile : Kind::kTable;
    if (found.kind == Kind::kTable) found.table = GuessTable(WholeLines(start));
  }
  return found;
}

}  // namespace ohmglow
