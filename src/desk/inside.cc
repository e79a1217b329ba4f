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
  // Against the root as it was given, which a link may have led to.
  const fs::path given = fs::absolute(root, code).lexically_normal();
  fs::path below = fs::absolute(file, code).lexically_normal().lexically_relative(given);
  if (below.empty() || *below.begin() == "..") {
    below = fs::absolute(file, code).lexically_normal().lexically_relative(top);
  }
  if (below.empty() || *below.begin() == "..") return false;
  fs::path at = top;
  for (const fs::path& step : below) {
    if (step == ".") continue;
    at /= step;
    if (fs::is_symlink(fs::symlink_status(at, code))) return false;
  }
  return true;
}

void RequireInside(const fs::path& root, const std::vector<NamedFiles>& files) {
  for (const NamedFiles& named : files) {
    for (const fs::path& file : named.files) {
      if (IsInside(root, file)) continue;
      throw InputError(file.string() +
                       ": is not below the folder that the desk was opened on, or a "
                       "link leads there (named by " +
                       named.key + "); copy it there, or open the folder that holds both");
    }
  }
}

}  // namespace ohmglow::desk
