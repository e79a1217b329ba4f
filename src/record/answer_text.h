// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "ohmglow/result.h"
#include "ohmglow/words/words.h"

namespace ohmglow::record {

/// The lines of a running answer: the first places, how their probabilities moved since
/// the answer before, and what will show.
class AnswerText {
 public:
  explicit AnswerText(Words words) : words_(std::move(words)) {}

  /// @param film_share  of the whole film that has been filmed, 0 .. 1.
  [[nodiscard]] std::string Lines(const LocateResult& result, double film_share);

 private:
  [[nodiscard]] std::string PlaceLine(const Candidate& place, std::size_t rank) const;

  Words words_;
  std::vector<Candidate> before_;
};

/// "Enough: C3, 98 %."
[[nodiscard]] std::string EnoughText(const LocateResult& result, const Words& words);

}  // namespace ohmglow::record
