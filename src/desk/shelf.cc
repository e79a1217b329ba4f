// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/shelf.h"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>

#include "batch/case_names.h"
#include "desk/child.h"
#include "desk/inside.h"
#include "desk/own_file.h"
#include "ohmglow/base/error.h"

namespace ohmglow::desk {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

constexpr int kMostDepth = 3;
constexpr std::size_t kMostCases = 2000;
constexpr int kListenMs = 200;

void AddCases(const fs::path& folder, int depth, std::vector<fs::path>& cases) {
  std::error_code code;
  std::vector<fs::path> folders;
  for (const auto& entry : fs::directory_iterator(folder, code)) {
    if (!entry.is_symlink(code) && entry.is_directory(code)) folders.push_back(entry.path());
  }
  std::sort(folders.begin(), folders.end());
  for (const fs::path& below : folders) {
    if (cases.size() >= kMostCases) return;
    if (fs::is_regular_file(below / "case.ini", code)) {
      cases.push_back(below);
    } else if (depth > 1) {
      AddCases(below, depth - 1, cases);
    }
  }
}

bool NamesOnlyInside(const fs::path& root, const fs::path& folder) {
  try {
    RequireInside(root, {{"case", "case.ini", {folder / "case.ini"}, {}}});
    RequireInside(root, ListCaseFiles(folder / "case.ini"));
    return true;
  } catch (const Error&) {
    return false;
  }
}

Json FirstOf(const Json& record) {
  const Json places = record.value("candidates", Json::array());
  if (places.empty()) return nullptr;
  const Json& place = places.front();
  Json first = Json::object();
  first["confidence"] = place.value("confidence", 0.0);
  const Json parts = place.value("parts", Json::array());
  if (!parts.empty()) first["ref"] = parts.front().at("ref");
  for (const char* const key : {"power_w", "power_low_w", "power_high_w"}) {
    if (place.contains(key)) first[key] = place.at(key);
  }
  return first;
}

}  // namespace

std::vector<fs::path> FindShelf(const fs::path& place) {
  std::error_code code;
  if (!fs::is_directory(place, code) || fs::exists(place / "case.ini", code)) return {};
  std::vector<fs::path> cases;
  AddCases(place, kMostDepth, cases);
  return cases;
}

std::string ShelfName(const fs::path& root, const fs::path& folder) {
  return folder.lexically_relative(root).generic_string();
}

std::string SheetName(const fs::path& root, const fs::path& folder) {
  return batch::SafeName(ShelfName(root, folder));
}

Json ReadContactSheet(const fs::path& root) {
  const fs::path folder = root / kContactSheet;
  Json cases = Json::object();
  if (!IsInside(root, folder / "summary.json")) return cases;
  try {
    const auto bytes = BytesOf(folder / "summary.json");
    if (!bytes) return cases;
    const Json summary = Json::parse(*bytes);
    for (const Json& record : summary.at("cases")) {
      const auto name = record.at("case").get<std::string>();
      Json told{{"status", record.at("status")},
                {"title", record.value("title", "")},
                {"verdict", record.value("verdict", "")},
                {"first", FirstOf(record)},
                {"picture", fs::exists(folder / name / "thumbnail.jpg")}};
      if (record.contains("error")) told["error"] = record["error"].value("text", "");
      cases[name] = std::move(told);
    }
  } catch (const std::exception&) {
    return Json::object();  // No sheet of ours; the next one takes its place.
  }
  return cases;
}

void MakeContactSheet(const ShelfWork& work,
                      const fs::path& root,
                      const std::vector<fs::path>& shelf,
                      const std::function<void(double)>& progress) {
  const fs::path out = root / kContactSheet;
  if (!IsInside(root, out)) throw OutputError(out.string() + ": a link leads elsewhere");
  std::set<std::string> names;
  std::string list;
  for (const fs::path& folder : shelf) {
    const std::string name = ShelfName(root, folder);
    if (name.find('\n') != std::string::npos || !NamesOnlyInside(root, folder)) continue;
    names.insert(SheetName(root, folder));
    list += name + '\n';
  }
  if (names.empty()) throw OutputError("no case of this folder can be worked on");
  std::vector<std::string> arguments = work.arguments;
  arguments.insert(arguments.end(), {"--out", kContactSheet, "--list", "-"});
  Child child(work.program, arguments, root, list);
  std::size_t done = 0;
  std::string last;
  while (!child.silent()) {
    progress(static_cast<double>(done) / static_cast<double>(names.size()));
    const auto line = child.Line(kListenMs);
    if (!line) continue;
    last = *line;
    // A line of each case begins with its name.
    if (names.contains(line->substr(0, line->find(": ")))) ++done;
  }
  const int code = child.Wait();
  if (std::find(work.good_codes.begin(), work.good_codes.end(), code) == work.good_codes.end()) {
    throw OutputError(last.empty() ? "the contact sheet was broken off" : last);
  }
}

}  // namespace ohmglow::desk
