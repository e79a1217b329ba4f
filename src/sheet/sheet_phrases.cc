// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "sheet/sheet_phrases.h"

#include <algorithm>
#include <cmath>

#include "ohmglow/base/remark_kind.h"
#include "ohmglow/picture/report.h"
#include "picture/answer_words.h"
#include "picture/marks.h"
#include "words/shown_text.h"

namespace ohmglow::internal {
namespace {

constexpr std::size_t kPartChars = 24;
constexpr std::size_t kListedPlaces = 3;  // More of them make no sentence.

std::string NameOf(Certainty certainty) { return std::string(KeyOf(certainty)); }

std::string NameOf(HeatSide side) { return std::string(SideKey(side)); }

std::string NameOf(RepairVerdict verdict) {
  switch (verdict) {
    case RepairVerdict::kRepaired:
      return "repaired";
    case RepairVerdict::kNotRepaired:
      return "not_repaired";
    case RepairVerdict::kNewPlace:
      return "new_place";
    case RepairVerdict::kUndecided:
      break;
  }
  return "undecided";
}

void Replace(std::string& text, std::string_view from, std::string_view to) {
  for (std::size_t at = text.find(from); at != std::string::npos;
       at = text.find(from, at + to.size())) {
    text.replace(at, from.size(), to);
  }
}

// What a value of a remark lists.
std::vector<Remark> SaidOf(const Remark& remark, const std::string& name) {
  for (const RemarkValue& value : remark.values) {
    if (value.name == name) return value.said;
  }
  return {};
}

constexpr std::string_view kNoBreakSpace = "\u00A0";

bool IsSeveral(const LocateResult& result, std::size_t num_shown) {
  return result.verdict == Verdict::kSeveral && num_shown > 1;
}

// Of the sentence where no place is named, by why that says nothing of the board.
std::string NoneKey(const Remark& reason) {
  if (reason.empty()) return "none";
  return reason.kind == RemarkKind::kViewCannotTell ? "no_view" : "no_steps";
}

}  // namespace

std::vector<const Candidate*> SheetPhrases::Shown(const LocateResult& result) {
  std::vector<const Candidate*> shown;
  for (const Candidate& candidate : result.candidates) {
    if (!MayBeFault(result, candidate)) continue;
    const bool rival = !shown.empty() && result.verdict != Verdict::kSeveral;
    if (rival && CertaintyOf(candidate.confidence) == Certainty::kUnlikely) continue;
    shown.push_back(&candidate);
  }
  return shown;
}

std::string SheetPhrases::Finding() const {
  const auto shown = Shown(content_.result);
  const std::string tense = content_.repair ? "was." : "found.";
  if (content_.result.verdict == Verdict::kNone) {
    return words_.Get(tense + NoneKey(content_.result.verdict_reason));
  }
  if (shown.empty()) return words_.Get(tense + "unclear");
  if (!IsSeveral(content_.result, shown.size())) {
    return words_.Fill(tense + NameOf(CertaintyOf(shown[0]->confidence)),
                       {{"place", Place(*shown[0], 1)}});
  }
  std::vector<std::string> items;
  for (std::size_t i = 0; i < std::min(shown.size(), kListedPlaces); ++i) {
    items.push_back(words_.Fill("found.several_item",
                                {{"place", Place(*shown[i], static_cast<int>(i) + 1)},
                                 {"certainty", ConfidenceOf(*shown[i])}}));
  }
  if (shown.size() > kListedPlaces) {
    items.push_back(More(shown.size() - kListedPlaces));
  }
  return words_.Fill(tense + "several", {{"places", Listed(items)}});
}

std::string SheetPhrases::Detail() const {
  const LocateResult& result = content_.result;
  const auto shown = Shown(result);
  if (!result.verdict_reason.empty() && result.verdict == Verdict::kNone) {
    return words_.Get("detail." + NoneKey(result.verdict_reason));
  }
  if (shown.empty()) {
    const bool known = std::isfinite(result.detectable_w) && result.detectable_w > 0;
    return known ? words_.Fill("detail.none", {{"power", Power(result.detectable_w)}})
                 : words_.Get("detail.none_plain");
  }
  const bool several = IsSeveral(result, shown.size());
  double most_k = 0;
  for (const Candidate* place : shown) most_k = std::max(most_k, place->rise_k);
  if (content_.repair) {
    // On which side it was, the place's own line says.
    const double rise_k = several ? most_k : shown[0]->rise_k;
    if (!std::isfinite(rise_k) || rise_k <= 0) return {};
    return FillRise(several ? "was.rise_several" : "was.rise", rise_k);
  }
  if (!several) {
    const std::string side = HasPicture() ? NameOf(shown[0]->side) : "unseen";
    return FillRise("detail." + side, shown[0]->rise_k);
  }
  return FillRise("detail.several", most_k);
}

std::string SheetPhrases::NotInView() const {
  const LocateResult& result = content_.result;
  if (result.verdict != Verdict::kNone || content_.repair) return {};
  const auto said = std::find_if(result.advice.begin(), result.advice.end(), [](const Remark& one) {
    return one.kind == RemarkKind::kNotInView;
  });
  if (said == result.advice.end()) return {};
  std::vector<std::string> names;
  double more = 0;
  for (const Remark& list : SaidOf(*said, "parts")) {
    for (const Remark& name : SaidOf(list, "parts"))
      names.push_back(CleanText(name.text, kPartChars));
    if (const double count = list.Number("count"); std::isfinite(count)) more += count;
  }
  if (names.empty()) return {};
  if (more > 0) names.push_back(More(static_cast<std::size_t>(more)));
  return words_.Fill("detail.not_in_view", {{"parts", Listed(names)}});
}

std::string SheetPhrases::Resistance() const {
  if (!HasOutcome() || !content_.repair->resistance) return {};
  const RepairCheck::Resistance& ohm = *content_.repair->resistance;
  return words_.Fill(ohm.is_same ? "repair.ohm_same" : "repair.ohm",
                     {{"before", Ohms(ohm.before_ohm)}, {"after", Ohms(ohm.after_ohm)}});
}

std::string SheetPhrases::Caution() const {
  const bool was_seen = content_.result.verdict != Verdict::kNone;
  const RepairVerdict outcome = HasOutcome() ? content_.repair->verdict : RepairVerdict::kUndecided;
  const bool is_seen =
      outcome == RepairVerdict::kNotRepaired || outcome == RepairVerdict::kNewPlace;
  if (!was_seen && !HasOutcome()) return {};
  // Heat that is gone is no proof that the rail may be powered.
  const std::string measure = words_.Get("caution.measure");
  const bool stands = is_seen || (was_seen && outcome != RepairVerdict::kRepaired);
  return stands ? words_.Get("caution") + " " + measure : measure;
}

bool SheetPhrases::HasOutcome() const { return content_.repair && !content_.repair->only_regions; }

std::string SheetPhrases::LegendItem(const Candidate& place, int number) const {
  const std::string item = words_.Fill(
      "legend.item", {{"place", Place(place, number)}, {"certainty", ConfidenceOf(place)}});
  if (place.side == HeatSide::kNear) return item;
  return words_.Fill("legend." + NameOf(place.side), {{"item", item}});
}

std::string SheetPhrases::HeatReading(bool has_rest) const {
  std::string text = words_.Get("heat.reading");
  const LocateResult& result = content_.result;
  const std::size_t num_shown = Shown(result).size();
  if (num_shown < result.candidates.size()) {
    text.append(" ").append(words_.Get(num_shown == 0 ? "heat.none" : "heat.others"));
  }
  if (has_rest) text.append(" ").append(words_.Get("heat.rest"));
  return text;
}

std::string SheetPhrases::RepairFinding() const {
  const RepairCheck& repair = *content_.repair;
  const std::string surely =
      repair.prob && std::isfinite(*repair.prob) ? NameOf(CertaintyOf(*repair.prob)) : "unstated";
  return words_.Fill("repair." + NameOf(repair.verdict),
                     {{"surely", words_.Get("surely." + surely)}});
}

std::string SheetPhrases::RepairReading(bool has_rest) const {
  const RepairCheck& repair = *content_.repair;
  std::string text = words_.Get("heat.reading");
  text.append(" ").append(words_.Get("repair.scale"));
  text.append(" ").append(words_.Get(repair.places.empty() ? "heat.none" : "repair.others"));
  if (std::any_of(
          repair.places.begin(), repair.places.end(), [](const auto& p) { return p.is_new; })) {
    text.append(" ").append(words_.Get("repair.new"));
  }
  if (std::any_of(repair.after_k.begin(), repair.after_k.end(), [](float v) {
        return !std::isfinite(v);
      })) {
    text.append(" ").append(words_.Get("repair.hatched"));
  }
  if (has_rest) text.append(" ").append(words_.Get("heat.rest"));
  return text;
}

std::string SheetPhrases::Means() const {
  const auto percent = [&](Certainty c) { return Number(100 * LeastProb(c), 3); };
  std::string text = words_.Fill("means",
                                 {{"almost_certain", percent(Certainty::kAlmostCertain)},
                                  {"very_likely", percent(Certainty::kVeryLikely)},
                                  {"likely", percent(Certainty::kLikely)},
                                  {"possible", percent(Certainty::kPossible)}});
  Replace(text, " %", std::string(kNoBreakSpace) + "%");
  return text;
}

std::string SheetPhrases::Date() const {
  const SheetDate& date = content_.date;
  return words_.Fill("date",
                     {{"day", std::to_string(date.day)},
                      {"month", words_.Get("month." + std::to_string(date.month))},
                      {"year", std::to_string(date.year)}});
}

std::string SheetPhrases::Degrees(double value_in_unit) const {
  // Of relative frames a tick is a share of the largest rise.
  if (content_.result.values == FrameValues::kRelative) {
    return Number(100 * value_in_unit / DegreesPerKelvin(), 2).append(kNoBreakSpace).append("%");
  }
  const bool celsius = content_.unit == TemperatureUnit::kCelsius;
  return Quantity(Number(value_in_unit, 2), celsius ? "unit.c" : "unit.f");
}

std::string SheetPhrases::Temperature(double celsius) const {
  if (content_.unit == TemperatureUnit::kCelsius) return Quantity(Number(celsius, 3), "unit.c");
  return Quantity(Number(1.8 * celsius + 32, 3), "unit.f");
}

std::string SheetPhrases::More(std::size_t count) const {
  return words_.Fill("list.more", {{"count", std::to_string(count)}});
}

// A number stays on the line of its unit.
std::string SheetPhrases::Quantity(const std::string& number, const char* unit) const {
  std::string text = words_.Fill("quantity", {{"number", number}, {"unit", words_.Get(unit)}});
  Replace(text, " ", kNoBreakSpace);
  return text;
}

double SheetPhrases::DegreesPerKelvin() const {
  return content_.unit == TemperatureUnit::kCelsius ? 1.0 : 1.8;
}

// With a true minus sign and the language's decimal sign.
std::string SheetPhrases::Number(double value, int digits) const {
  std::string text = FormatDigits(std::abs(value), digits);
  std::string decimal = words_.Get("number.decimal");
  // A sign within a number would be misread as part of it.
  if (decimal.ends_with(Words::kFallbackSign)) {
    decimal.resize(decimal.size() - Words::kFallbackSign.size());
  }
  if (const auto point = text.find('.'); point != std::string::npos) {
    text.replace(point, 1, decimal);
  }
  if (value < 0) text.insert(0, "\u2212");
  return text;
}

std::string SheetPhrases::Power(double power_w) const {
  const double size_w = RoundDigits(power_w, 2);
  const bool watt = size_w >= 1;
  const bool milli = !watt && size_w >= 1e-3;
  const double per_watt = watt ? 1 : milli ? 1e3 : 1e6;
  return Quantity(Number(power_w * per_watt, 2), watt ? "unit.w" : milli ? "unit.mw" : "unit.uw");
}

std::string SheetPhrases::Ohms(double ohm) const {
  const double size_ohm = RoundDigits(std::abs(ohm), 2);
  const bool kilo = size_ohm >= 1e3;
  const bool milli = size_ohm < 1;
  const double per_ohm = kilo ? 1e-3 : milli ? 1e3 : 1;
  return Quantity(Number(ohm * per_ohm, 2), kilo ? "unit.kohm" : milli ? "unit.mohm" : "unit.ohm");
}

std::string SheetPhrases::Place(const Candidate& place, int number) const {
  const NamedParts parts = PartsToName(place);
  // Heat shows through a board: a part that is named may sit on the side that is not shown.
  const auto with_side = [&](const std::string& part, bool is_far, bool in_brackets) {
    const char* const key = in_brackets ? "place.other_side_in_brackets" : "place.other_side";
    return is_far ? words_.Fill(key, {{"name", part}}) : part;
  };
  const bool perhaps = parts.naming == PartNaming::kPerhaps;
  if (perhaps && parts.first_is_far && parts.second_is_far) {
    const Words::Values bare{{"name", parts.first}, {"other", parts.second}};
    return with_side(words_.Fill("place.perhaps", bare), true, true);
  }
  const Words::Values names{{"name", with_side(parts.first, parts.first_is_far, false)},
                            {"other", with_side(parts.second, parts.second_is_far, perhaps)}};
  switch (parts.naming) {
    case PartNaming::kOne:
      return words_.Fill("place.part", names);
    case PartNaming::kNear:
      return words_.Fill("place.near", names);
    case PartNaming::kPerhaps:
      return words_.Fill("place.perhaps", names);
    case PartNaming::kEither:
      return words_.Fill("place.either", names);
    case PartNaming::kNone:
      break;
  }
  if (!HasPicture()) return words_.Get("place.unmarked");
  return words_.Fill("place.unnamed", {{"number", std::to_string(number)}});
}

bool SheetPhrases::HasPicture() const {
  return !content_.photo.empty() || !content_.result.reference_k.empty() ||
         !content_.result.response_k.empty();
}

std::string SheetPhrases::Listed(const std::vector<std::string>& items) const {
  std::string text = items.front();
  for (std::size_t i = 1; i < items.size(); ++i) {
    text = words_.Fill(i + 1 == items.size() ? "list.two" : "list.many",
                       {{"first", text}, {"second", items[i]}});
  }
  return text;
}

std::string SheetPhrases::ConfidenceOf(const Candidate& place) const {
  return words_.Get("certainty." + NameOf(CertaintyOf(place.confidence)));
}

std::string SheetPhrases::FillRise(const std::string& key, double rise_k) const {
  const bool relative = content_.result.values == FrameValues::kRelative;
  if (relative || !std::isfinite(rise_k) || rise_k <= 0) return words_.Get(key + "_plain");
  return words_.Fill(key, {{"rise", Degrees(DegreesPerKelvin() * rise_k)}});
}

}  // namespace ohmglow::internal
