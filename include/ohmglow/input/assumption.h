// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ohmglow/base/remark.h"

namespace ohmglow {

/// How it came to a value that nobody gave.
enum class AssumedHow : unsigned char {
  kDefault,   ///< The usual value, or what other settings or the files say.
  kGuess,     ///< Nothing tells it; what hangs on it is doubtful.
  kByList,    ///< Open until the parts list is laid on the picture.
  kInFolder,  ///< A file that was found beside the others.
  kNotUsed,   ///< A file that may be there and is not used; the note says why.
  kSetAside,  ///< The same of a file in the folder that is none of its kind.
};

/// A value that took part in the answer though nobody gave it.
struct Assumption {
  std::string key;    ///< "section.key" of the case file.
  std::string value;  ///< "0.93", "top", or in words.
  AssumedHow how = AssumedHow::kDefault;
  std::string note = {};   ///< Why, or where it is from; may be empty.
  std::string whose = {};  ///< "other side (back.ini)" where it is not this capture's own.

  /// What a person should hear of it, of losses and guesses that the answer hangs on.
  Remark told = {};

  friend bool operator==(const Assumption&, const Assumption&) = default;
};

/// Its value and note in one: "0.5 mm (from board.points)".
[[nodiscard]] std::string ValueText(const Assumption& one);

/// As result.json lists it: "board.mm_per_pixel = 0.5 mm (from board.points)".
[[nodiscard]] std::string ToText(const Assumption& one);
[[nodiscard]] std::vector<std::string> ToTexts(const std::vector<Assumption>& all);

/// What was assumed of a key of this capture; null where it was given.
[[nodiscard]] const Assumption* FindAssumed(const std::vector<Assumption>& all,
                                            std::string_view key);

/// Whether a file is there, or may be, and takes no part.
[[nodiscard]] constexpr bool IsNotUsed(AssumedHow how) {
  return how == AssumedHow::kNotUsed || how == AssumedHow::kSetAside;
}

/// The word that stands for it in result.json ("default", "guess" ...), and back.
[[nodiscard]] std::string_view NameOf(AssumedHow how);
[[nodiscard]] std::optional<AssumedHow> ParseAssumedHow(std::string_view name);

}  // namespace ohmglow
