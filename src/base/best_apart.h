// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cstddef>
#include <functional>
#include <vector>

namespace ohmglow {

/// The best that are not the same: the best first, each no more than once, at most `most`.
/// @param goodness  of one: a member or a function; more is better.
/// @param same      whether two are one.
template <typename T, typename Goodness, typename Same>
[[nodiscard]] std::vector<T> BestApart(std::vector<T> all, int most, Goodness goodness, Same same) {
  std::stable_sort(all.begin(), all.end(), [&](const T& a, const T& b) {
    return std::invoke(goodness, a) > std::invoke(goodness, b);
  });
  std::vector<T> kept;
  for (const T& one : all) {
    if (kept.size() >= static_cast<std::size_t>(most)) break;
    const auto known = [&](const T& other) { return same(one, other); };
    if (std::none_of(kept.begin(), kept.end(), known)) kept.push_back(one);
  }
  return kept;
}

}  // namespace ohmglow
