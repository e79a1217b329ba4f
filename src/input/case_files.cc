// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/input/case_files.h"

#include "case_keys.h"
#include "frame_files.h"
#include "ini_file.h"
#include "load_case.h"
#include "ohmglow/base/error.h"

namespace ohmglow {
namespace {

NamedFiles Resolve(const std::filesystem::path& folder, const IniEntry& entry) {
  NamedFiles named{entry.name, entry.value, {}, {}};
  const std::filesystem::path path = folder / entry.value;
  if (entry.name != "frames.source" || !IsSeries(path)) {
    named.files = {path};
    return named;
  }
  try {
    named.files = ListFrameFiles(path);
  } catch (const InputError& error) {
    named.problem = error.what();
  } catch (const std::filesystem::filesystem_error& error) {
    named.problem = error.code().message();
  }
  return named;
}

}  // namespace

std::vector<NamedFiles> ListNamedFiles(const IniFile& ini, const std::filesystem::path& folder) {
  std::vector<NamedFiles> all;
  for (const std::string_view key : kCasePathKeys) {
    const auto entry = ini.Find(key);
    if (entry && !entry->value.empty()) all.push_back(Resolve(folder, *entry));
  }
  return all;
}

std::vector<NamedFiles> ListCaseFiles(const std::filesystem::path& case_file) {
  std::vector<NamedFiles> all{{"case", case_file.filename().string(), {case_file}, {}}};
  const std::vector<NamedFiles> named =
      ListNamedFiles(IniFile(case_file, CaseKeys()), case_file.parent_path());
  all.insert(all.end(), named.begin(), named.end());
  return all;
}

}  // namespace ohmglow
