// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/case_names.h"

#include <algorithm>
#include <array>
#include <numeric>
#include <set>

#include "input/text.h"
#include "words/shown_text.h"

namespace ohmglow::batch {
namespace {

// Below the 255 bytes of common file systems, with room for what the writing
// of a folder appends to its name.
constexpr std::size_t kMaxPartBytes = 150;
constexpr std::size_t kMaxPartChars = 150;
// What stands for a folder that is being written; see result_folder.h.
constexpr std::string_view kPartial = ".partial";

std::vector<std::string> Split(std::string_view path) {
  std::vector<std::string> parts(1);
  for (const char c : path) {
    if (c == '/') {
      parts.emplace_back();
    } else {
      parts.back() += c;
    }
  }
  return parts;
}

std::string SafePart(const std::string& part) {
  if (part == "." || part == "..") return {};
  std::string safe = internal::CleanText(part, kMaxPartChars);
  for (char& c : safe) {
    if (std::string_view("\\:*?\"<>|").find(c) != std::string_view::npos) c = '_';
  }
  for (std::size_t at = 0; (at = safe.find(kPartial, at)) != std::string::npos;) safe[at] = '_';
  std::size_t end = std::min(safe.size(), kMaxPartBytes);
  // Not inside of a UTF-8 sequence.
  while (end < safe.size() && (static_cast<unsigned char>(safe[end]) & 0xC0U) == 0x80U) --end;
  const std::string_view kept = Trim(std::string_view(safe).substr(0, end));
  // Cleaning can bring them about.
  if (kept == "." || kept == "..") return "_";
  return std::string(kept);
}

bool IsReserved(const std::string& part) {
  constexpr std::array<std::string_view, 3> kOurs{"summary.csv", "summary.json", "index.html"};
  return std::find(kOurs.begin(), kOurs.end(), ToLower(part)) != kOurs.end();
}

bool Within(std::string_view name, std::string_view folder) {
  return name.size() > folder.size() && name.starts_with(folder) && name[folder.size()] == '/';
}

// Names given so far.
class Taken {
 public:
  void Add(const std::string& name) { names_.insert(name); }

  [[nodiscard]] bool Clashes(const std::string& name) const {
    if (names_.count(name) != 0) return true;
    const auto next = names_.lower_bound(std::string(name).append("/"));
    return next != names_.end() && Within(*next, name);
  }

  // Out of every folder that is another one's.
  [[nodiscard]] std::string Lifted(std::string name) const {
    for (std::size_t slash = name.find('/'); slash != std::string::npos;) {
      if (names_.count(name.substr(0, slash)) != 0) {
        name.replace(slash, 1, "__");
        slash = name.find('/');
      } else {
        slash = name.find('/', slash + 1);
      }
    }
    return name;
  }

 private:
  std::set<std::string> names_;
};

}  // namespace

std::string SafeName(std::string_view path) {
  std::string name;
  for (const std::string& part : Split(path)) {
    const std::string safe = SafePart(part);
    if (safe.empty()) continue;
    if (!name.empty()) name += '/';
    name += safe;
    if (name == safe && IsReserved(safe)) name += '_';
  }
  if (name.empty()) name = "case";
  return name;
}

bool IsSafeName(std::string_view name) { return SafeName(name) == name; }

std::vector<std::string> MakeDistinct(const std::vector<std::string>& names) {
  std::vector<std::size_t> order(names.size());
  std::iota(order.begin(), order.end(), 0U);
  // Outer folders first.
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    const auto depth_a = std::count(names[a].begin(), names[a].end(), '/');
    const auto depth_b = std::count(names[b].begin(), names[b].end(), '/');
    return depth_a != depth_b ? depth_a < depth_b : names[a] < names[b];
  });
  std::vector<std::string> distinct(names.size());
  // A number makes no name that another one has by itself.
  const std::set<std::string> given(names.begin(), names.end());
  Taken taken;
  for (const std::size_t i : order) {
    const std::string base = taken.Lifted(names[i]);
    std::string name = base;
    for (int k = 2; taken.Clashes(name) || (k > 2 && given.count(name) != 0); ++k) {
      name = base;
      name.append("-").append(std::to_string(k));
      name = taken.Lifted(name);
    }
    taken.Add(name);
    distinct[i] = name;
  }
  return distinct;
}

}  // namespace ohmglow::batch
