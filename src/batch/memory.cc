// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/memory.h"

#include <algorithm>
#include <fstream>
#include <string>

namespace ohmglow::batch {
namespace {

namespace fs = std::filesystem;

std::optional<double> ReadBytes(const fs::path& file) {
  std::ifstream stream(file);
  double bytes = 0;
  // "max" where there is no limit.
  if (!(stream >> bytes)) return std::nullopt;
  return bytes;
}

// The value of a line "key value" or "key: value kB".
std::optional<double> ReadLine(const fs::path& file, const std::string& key) {
  std::ifstream stream(file);
  std::string name;
  double value = 0;
  for (std::string rest; stream >> name >> value; std::getline(stream, rest)) {
    if (name == key) return value;
  }
  return std::nullopt;
}

// The group of this process in the hierarchy with the given controller list
// ("" in version 2); lines read "number:controllers:path".
std::optional<fs::path> GroupPath(const fs::path& root, const std::string& controllers) {
  std::ifstream stream(root / "proc/self/cgroup");
  for (std::string line; std::getline(stream, line);) {
    const auto first = line.find(':');
    const auto second = line.find(':', first + 1);
    if (second == std::string::npos) continue;
    if (line.substr(first + 1, second - first - 1) == controllers) {
      return fs::path(line.substr(second + 1)).relative_path();
    }
  }
  return std::nullopt;
}

void Lower(std::optional<double>& least, const std::optional<double>& value) {
  if (value && (!least || *value < *least)) least = value;
}

// What a limit leaves. Cached file pages count as used, but give way.
std::optional<double> LeftOf(const std::optional<double>& limit,
                             const std::optional<double>& used,
                             const std::optional<double>& cached) {
  if (!limit) return std::nullopt;
  return std::max(0.0, *limit - std::max(0.0, used.value_or(0) - cached.value_or(0)));
}

std::optional<double> GroupBytes(const fs::path& root) {
  std::optional<double> least;
  if (const auto group = GroupPath(root, "")) {
    const fs::path top = root / "sys/fs/cgroup";
    // The limits of all groups above hold as well. A container may see its own
    // group at the top although the path says otherwise.
    for (fs::path at = *group;; at = at.parent_path()) {
      const fs::path folder = top / at;
      Lower(least,
            LeftOf(ReadBytes(folder / "memory.max"),
                   ReadBytes(folder / "memory.current"),
                   ReadLine(folder / "memory.stat", "inactive_file")));
      if (at.empty()) break;
    }
  }
  if (const auto group = GroupPath(root, "memory")) {
    for (const fs::path& at : {*group, fs::path()}) {
      const fs::path folder = root / "sys/fs/cgroup/memory" / at;
      Lower(least,
            LeftOf(ReadBytes(folder / "memory.limit_in_bytes"),
                   ReadBytes(folder / "memory.usage_in_bytes"),
                   ReadLine(folder / "memory.stat", "total_inactive_file")));
    }
  }
  return least;
}

}  // namespace

double JobMemoryBytes(cv::Size frame_px, cv::Size photo_px) {
  return kJobBaseBytes + kJobBytesPerFramePixel * frame_px.width * frame_px.height +
         kJobBytesPerPhotoPixel * photo_px.width * photo_px.height;
}

std::optional<double> FreeMemoryBytes(const fs::path& root) {
  std::optional<double> least;
  if (const auto kb = ReadLine(root / "proc/meminfo", "MemAvailable:")) least = 1024 * *kb;
  Lower(least, GroupBytes(root));
  return least;
}

}  // namespace ohmglow::batch
