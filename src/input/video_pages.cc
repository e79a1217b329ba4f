// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "video_pages.h"

#include <dlfcn.h>

#include <array>
#include <cstdint>

#include "ohmglow/base/error.h"
#include "ohmglow/input/video_module.h"
#include "video/video_api.h"

#ifndef OHMGLOW_MODULE_FOLDER
#define OHMGLOW_MODULE_FOLDER ""
#endif

namespace ohmglow {
namespace {

constexpr const char* kModule = "ohmglow_video.so";
constexpr std::size_t kErrorBytes = 200;

// One module serves the process, so its place is the process's, too.
std::filesystem::path& GivenFolder() {
  static std::filesystem::path folder;
  return folder;
}

// Where it was said to be, beside the program (as built, or unpacked anywhere), then where
// it is installed.
std::vector<std::filesystem::path> ModulePlaces() {
  std::vector<std::filesystem::path> places;
  std::error_code ignored;
  if (!GivenFolder().empty()) places.push_back(GivenFolder() / kModule);
  const auto program = std::filesystem::read_symlink("/proc/self/exe", ignored);
  if (!program.empty()) {
    const auto folder = program.parent_path();
    places.push_back(folder / kModule);
    places.push_back(folder.parent_path() / "lib" / "ohmglow" / kModule);
  }
  places.emplace_back(std::filesystem::path(OHMGLOW_MODULE_FOLDER) / kModule);
  return places;
}

const OhmglowVideoApi* Load() {
  for (const auto& place : ModulePlaces()) {
    std::error_code ignored;
    if (!place.is_absolute() || !std::filesystem::is_regular_file(place, ignored)) continue;
    void* const module = dlopen(place.c_str(), RTLD_NOW | RTLD_LOCAL);
    if (module == nullptr) continue;
    using Entry = const OhmglowVideoApi* (*)();
    void* const symbol = dlsym(module, OHMGLOW_VIDEO_ENTRY);
    const auto entry = reinterpret_cast<Entry>(symbol);
    if (entry != nullptr && entry()->version == OHMGLOW_VIDEO_VERSION) return entry();
    dlclose(module);
  }
  return nullptr;
}

const OhmglowVideoApi* Module(const std::string& file) {
  static const OhmglowVideoApi* const api = Load();
  if (api != nullptr) return api;
  throw InputError(file + ": is a video, and this ohmglow has no module to read it (" + kModule +
                   "); install the package that holds it, or save the frames as PNG");
}

int TypeOf(OhmglowPixels pixels) {
  switch (pixels) {
    case OHMGLOW_GREY8:
      return CV_8UC1;
    case OHMGLOW_GREY16:
      return CV_16UC1;
    case OHMGLOW_BGR8:
      break;
  }
  return CV_8UC3;
}

}  // namespace

void SetVideoModuleFolder(const std::filesystem::path& folder) { GivenFolder() = folder; }

VideoPages::VideoPages(const ByteSource& source)
    : file_(source.name()), api_(Module(file_)), video_(nullptr, api_->close) {
  // The library reads files alone, and this one may lie in an archive.
  std::error_code ignored;
  if (!std::filesystem::is_regular_file(file_, ignored)) {
    throw InputError(file_ + ": a video is read from a file of its own; unpack it");
  }
  OhmglowVideoInfo info{};
  std::array<char, kErrorBytes> error{};
  // Never taken for the address of something on a network.
  const std::string path = std::filesystem::absolute(file_).string();
  video_.reset(api_->open(path.c_str(), &info, error.data(), error.size()));
  if (!video_) throw InputError(file_ + ": " + error.data());
  CheckSize(file_, info.width_px, info.height_px);
  size_px_ = {info.width_px, info.height_px};
  type_ = TypeOf(info.pixels);
  num_lost_ = static_cast<int>(info.lost);
  times_s_.resize(static_cast<std::size_t>(info.count));
  api_->times(video_.get(), times_s_.data());
}

std::vector<std::string> VideoPages::Notes() const {
  if (num_lost_ == 0) return {};
  return {CutOffNote(file_, num_lost_, count() + num_lost_)};
}

void VideoPages::Read(int page, cv::Mat& counts) {
  // The module writes rows without gaps.
  if (!counts.isContinuous()) counts.release();
  counts.create(size_px_, type_);
  const std::size_t num_bytes = counts.total() * counts.elemSize();
  std::array<char, kErrorBytes> error{};
  if (api_->read(video_.get(), page, counts.data, num_bytes, error.data(), error.size()) == 0) {
    throw InputError(PageName(file_, page) + ": " + error.data());
  }
}

bool IsVideo(const std::string& start) {
  // EBML's own mark (RFC 8794, section 11.2.1), a box of type ftyp (ISO/IEC 14496-12,
  // section 4.3), a RIFF file of form AVI.
  return start.starts_with("\x1A\x45\xDF\xA3") || start.substr(0, 12).find("ftyp") == 4 ||
         (start.starts_with("RIFF") && start.find("AVI ") == 8);
}

}  // namespace ohmglow
