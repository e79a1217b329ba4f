// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "case_losses.h"

#include <algorithm>
#include <array>
#include <cstdlib>

#include "case_remarks.h"
#include "ohmglow/base/remark_kind.h"

namespace ohmglow {
namespace {

constexpr std::string_view kWithout = "without ";
constexpr std::string_view kOfIts = " of its ";
constexpr std::string_view kRows = " rows (";
constexpr std::string_view kTo = " to ";
constexpr std::string_view kDates = "from the files' dates";
// How the remarks of readers end where frames are missing; a file's name may hold such words.
constexpr std::array<std::string_view, 3> kLostFrames{" left out", " lost", " as far as it goes"};
// Where rows of a list are.
constexpr std::array<std::string_view, 2> kLostRows{"(left out: ", " rows left out, first "};

// The values of all lines "key = value" of a key.
std::vector<std::string_view> AllOf(const std::vector<std::string>& assumed, std::string_view key) {
  std::vector<std::string_view> values;
  for (const std::string& line : assumed) {
    if (const auto value = ValueOfAssumed(line, key)) values.push_back(*value);
  }
  return values;
}

}  // namespace

std::string LostRows(std::size_t lost, std::size_t all, const std::string& reason) {
  return std::string("supply.log = ")
      .append(kWithout)
      .append(std::to_string(lost))
      .append(kOfIts)
      .append(std::to_string(all))
      .append(kRows)
      .append(reason + ")");
}

std::optional<RowsLost> RowsLostOf(const std::vector<std::string>& assumed) {
  for (const std::string_view value : AllOf(assumed, "supply.log")) {
    const std::size_t all = value.find(kOfIts);
    const std::size_t rows = value.find(kRows);
    if (!value.starts_with(kWithout) || all > rows || rows == std::string_view::npos) continue;
    const std::size_t all_at = all + kOfIts.size();
    const std::size_t reason_at = rows + kRows.size();
    return RowsLost{std::string(value.substr(kWithout.size(), all - kWithout.size())),
                    std::string(value.substr(all_at, rows - all_at)),
                    std::string(value.substr(reason_at, value.size() - reason_at - 1))};
  }
  return std::nullopt;
}

std::vector<std::string> FramesLost(const std::vector<std::string>& assumed) {
  std::vector<std::string> lost;
  for (const std::string_view value : AllOf(assumed, "frames.source")) {
    const bool is_loss = std::any_of(
        kLostFrames.begin(), kLostFrames.end(), [&](auto end) { return value.ends_with(end); });
    if (is_loss) lost.emplace_back(value);
  }
  return lost;
}

std::string PartRowsLost(const std::vector<std::string>& assumed) {
  for (const std::string_view value : AllOf(assumed, "board.parts")) {
    const bool is_loss = std::any_of(kLostRows.begin(), kLostRows.end(), [&](auto mark) {
      return value.find(mark) != std::string_view::npos;
    });
    if (is_loss) return std::string(value);
  }
  return {};
}

std::string LogGuesses(const std::vector<std::string>& assumed) {
  return std::string(AssumedOf(assumed, "supply.columns").value_or(""));
}

Remark TimesGuessedBy(const std::vector<std::string>& assumed) {
  const auto times = AssumedOf(assumed, "frames.times");
  if (times && times->starts_with(kDates)) return Remark(RemarkKind::kGuessedByDates);
  if (const auto rate = AssumedOf(assumed, "frames.rate_hz")) {
    return Remark(RemarkKind::kGuessedByRate).With("rate", Remark(std::string(*rate)));
  }
  return {};
}

std::optional<ToldEmissivity> EmissivityOfRegions(const std::vector<std::string>& assumed) {
  const std::string_view value = AssumedOf(assumed, "surface.regions").value_or("");
  const std::size_t at = value.find(kOtherEmissivity);
  if (at == std::string_view::npos) return std::nullopt;
  const std::string_view told = value.substr(at + kOtherEmissivity.size());
  const std::size_t colon = told.find(": ");
  const std::string values(told.substr(0, colon));
  const std::size_t to = values.find(kTo);
  ToldEmissivity out;
  out.least = out.most = std::strtod(values.c_str(), nullptr);
  if (to != std::string::npos) out.most = std::strtod(values.c_str() + to + kTo.size(), nullptr);
  if (colon != std::string_view::npos) out.places = told.substr(colon + 2);
  return out;
}

}  // namespace ohmglow
