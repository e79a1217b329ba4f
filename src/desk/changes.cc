// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/changes.h"

#include <utility>

#include "desk/inside.h"
#include "desk/own_file.h"

namespace ohmglow::desk {
namespace {

constexpr std::size_t kMostPast = 200;

// Where the second of two files cannot be written, the first goes back to what it was.
void ReplaceAll(const std::filesystem::path& root, const std::vector<Edit>& edits) {
  for (const Edit& edit : edits) {
    if (!IsInside(root, edit.file)) {
      throw OutputError(edit.file.string() + ": a link leads elsewhere");
    }
  }
  std::size_t done = 0;
  try {
    for (; done < edits.size(); ++done) {
      ReplaceFile(edits[done].file, edits[done].version, edits[done].text);
    }
  } catch (const Error&) {
    while (done-- > 0) {
      ReplaceFile(edits[done].file, VersionOf(edits[done].text), edits[done].before);
    }
    throw;
  }
}

}  // namespace

void Changes::Make(const std::filesystem::path& root, std::vector<Edit> edits) {
  ReplaceAll(root, edits);
  past_.push_back(std::move(edits));
  if (past_.size() > kMostPast) past_.erase(past_.begin());
}

void Changes::TakeBack(const std::filesystem::path& root) {
  if (past_.empty()) throw OptionError("there is nothing to undo");
  std::vector<Edit> back;
  for (auto edit = past_.back().rbegin(); edit != past_.back().rend(); ++edit) {
    back.push_back({edit->file, VersionOf(edit->text), edit->text, edit->before});
  }
  past_.pop_back();  // What another program has changed since is not taken back later either.
  ReplaceAll(root, back);
}

}  // namespace ohmglow::desk
