// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/shop_file.h"

#include <cstdlib>
#include <nlohmann/json.hpp>
#include <string>

#include "desk/case_text.h"
#include "desk/own_file.h"

namespace ohmglow::desk {

namespace fs = std::filesystem;

namespace {

constexpr std::size_t kMostLineChars = 200;

fs::path ConfigFolder() {
  const char* const own = std::getenv("XDG_CONFIG_HOME");
  if (own != nullptr && fs::path(own).is_absolute()) return own;
  const char* const home = std::getenv("HOME");
  if (home != nullptr && fs::path(home).is_absolute()) return fs::path(home) / ".config";
  return {};
}

// The specification asks for folders of the user alone.
void MakeFolder(const fs::path& folder) {
  if (fs::exists(folder)) return;
  MakeFolder(folder.parent_path());
  std::error_code code;
  fs::create_directory(folder, code);
  if (!code) fs::permissions(folder, fs::perms::owner_all, code);
  if (code) throw OutputError(folder.string() + ": cannot be made (" + code.message() + ")");
}

}  // namespace

fs::path OwnShopFile() {
  const fs::path folder = ConfigFolder();
  return folder.empty() ? fs::path() : folder / "ohmglow" / "shop.ini";
}

void SaveShopLines(const fs::path& file, const nlohmann::json& lines) {
  if (file.empty()) throw OutputError("there is no folder for this user's settings");
  const auto before = BytesOf(file);
  std::string text = before.value_or("");
  for (const char* const key : {"name", "address", "phone", "mail"}) {
    const auto line = lines.at(key).get<std::string>();
    if (line.size() > kMostLineChars) throw OptionError(std::string(key) + " is too long");
    text = WithKey(text, std::string("shop.") + key, line);
  }
  if (before == text) return;
  MakeFolder(file.parent_path());
  ReplaceFile(file, VersionOf(before), text);
}

}  // namespace ohmglow::desk
