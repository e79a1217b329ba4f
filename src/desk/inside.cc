// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/inside.h"

#include "ohmglow/base/error.h"

namespace ohmglow::desk {

namespace fs = std::filesystem;

bool IsInside(const fs::path& root, const fs::path& file) {
  std::error_code code;
  const fs::path top = fs::canonical(root, code);
  if (code) return false;
  // As written, steps back and all: a step back behind a link leads out of where the link leads.
  const fs::path real = fs::weakly_canonical(fs::absolute(file, code), code);
  if (code) return false;
  const fs::path normal = fs::absolute(file, code).lexically_normal();
  const auto leads_out = [](const fs::path& below) {
    return below.empty() || *below.begin() == "..";
  };
  // The root may have been given by a link.
  fs::path below = normal.lexically_relative(fs::absolute(root, code).lexically_normal());
  if (leads_out(below)) below = normal.lexically_relative(top);
  if (leads_out(below) || real != (top / below).lexically_normal()) return false;
  fs::path at = top;
  for (const fs::path& step : below) {  // Also links that lead nowhere yet.
    if (step == ".") continue;
    at /= step;
    if (fs::is_symlink(fs::symlink_status(at, code))) return false;
  }
  return true;
}

void RequireInside(const fs::path& root, const std::vector<NamedFiles>& files) {
  for (const NamedFiles& named : files) {
    for (const fs::path& file : named.files) {
      std::error_code code;
      if (IsInside(root, file)) {
        const auto status = fs::status(file, code);
        if (!fs::exists(status) || fs::is_regular_file(status) || fs::is_directory(status))
          continue;
        throw InputError(file.string() + ": is no ordinary file (named by " + named.key + ")");
      }
      throw InputError(file.string() +
                       ": is not below the folder that the desk was opened on, or a "
                       "link leads there (named by " +
                       named.key + "); copy it there, or open the folder that holds both");
    }
  }
}

}  // namespace ohmglow::desk
