// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/index_page.h"

#include <cmath>
#include <map>
#include <utility>

#include "batch/html_text.h"
#include "batch/index_assets.h"
#include "batch/summary_words.h"
#include "input/text.h"
#include "ohmglow/version.h"
#include "picture/answer_words.h"
#include "words/numbers.h"
#include "words/shown_text.h"

namespace ohmglow::batch {
namespace {

constexpr std::string_view kGenerator = "<meta name=\"generator\" content=\"ohmglow ";
constexpr std::size_t kTitleChars = 120;
constexpr std::size_t kErrorCellChars = 500;

// What a row is about, in the order in which the column sorts.
struct Outcome {
  int order;
  std::string_view css_class;
  const char* key;        // Of its words.
  std::string_view mark;  // So that a grey print tells them apart at a glance.
};

Outcome OutcomeOf(const CaseRecord& record) {
  if (record.status == CaseStatus::kFailed) return {4, "failed", "index.failed", "\u2715"};
  if (record.status == CaseStatus::kMissing) return {5, "missing", "index.missing", "?"};
  switch (record.result.verdict) {
    case Verdict::kFound:
      return {1, "found", "index.found", "\u25CF"};
    case Verdict::kSeveral:
      return {2, "several", "index.several", "\u25D0"};
    case Verdict::kNone:
      break;
  }
  if (!record.result.verdict_reason.empty()) return {3, "none", "index.cannot_tell", "?"};
  return {3, "none", "index.none", "\u25CB"};
}

std::string Attribute(std::string_view name, std::string_view value) {
  std::string text = " ";
  return text.append(name).append("=\"").append(value).append("\"");
}

std::string Link(const std::string& path, const std::string& words) {
  return "<a" + Attribute("href", HtmlLink(path)) + ">" + words + "</a>";
}

std::string NumberText(double value) { return std::isfinite(value) ? FormatNumber(value) : ""; }

// A cell; `key` is what it sorts by.
std::string Cell(std::string_view css_class, const std::string& key, const std::string& content) {
  return "<td" + Attribute("class", css_class) + Attribute("data-key", key) + ">" + content +
         "</td>\n";
}

std::string PictureCell(const CaseRecord& record, const Words& words) {
  if (record.status != CaseStatus::kDone) return "<td class=\"picture\"></td>\n";
  std::string image = "<img loading=\"lazy\"";
  image += Attribute("src", HtmlLink(record.name + "/" + std::string(kThumbnailName)));
  image +=
      Attribute("alt",
                words.Fill("index.picture_of", {{"name", HtmlText(record.name, kTitleChars)}})) +
      ">";
  return "<td class=\"picture\">" + Link(record.name + "/overlay.png", image) + "</td>\n";
}

// The row's head: name, title and what there is to open.
std::string NameCell(const CaseRecord& record, const Words& words) {
  const std::string name = HtmlText(record.name, kTitleChars);
  std::string text =
      "<th scope=\"row\" class=\"name\"" + Attribute("data-key", name) + "><b>" + name + "</b>";
  if (!record.title.empty() && record.title != record.name)
    text += "<small>" + HtmlText(record.title) + "</small>";
  if (record.status == CaseStatus::kDone) {
    text += "<small class=\"links\">" +
            Link(record.name + "/overlay.png", words.Get("index.link_places")) +
            Link(record.name + "/map.png", words.Get("index.link_heat")) +
            Link(record.name + "/result.json", words.Get("index.link_data")) +
            Link(record.name + "/", words.Get("index.link_folder")) + "</small>";
  }
  return text + "</th>\n";
}

std::string OutcomeCell(const CaseRecord& record, const Words& words) {
  const Outcome outcome = OutcomeOf(record);
  std::string badge = "<span class=\"badge ";
  badge.append(outcome.css_class).append("\">").append(outcome.mark).append(" ");
  badge.append(words.Get(outcome.key)).append("</span>");
  const double least_w = record.result.detectable_w;
  if (record.status == CaseStatus::kDone && record.result.verdict == Verdict::kNone &&
      least_w > 0) {
    const std::string power = HtmlText(internal::WattsText(least_w, words));
    badge += "<small>" + words.Fill("index.would_have_shown", {{"power", power}}) + "</small>";
  }
  return Cell("verdict", std::to_string(outcome.order), badge);
}

std::string PlaceCell(const LocateResult& result, const Words& words) {
  const Candidate& first = result.candidates.front();
  const std::string name = HtmlText(internal::PlaceName(first, words));
  std::string text = name + "<small>" + internal::SideWords(first.side, words) + "</small>";
  std::vector<std::string> others;
  for (std::size_t i = 1; i < result.candidates.size(); ++i) {
    if (!internal::MayBeFault(result, result.candidates[i])) continue;
    others.push_back(HtmlText(internal::PlaceName(result.candidates[i], words)));
  }
  if (!others.empty()) {
    const std::string listed =
        internal::ListText(others, words, "list.semicolon", "list.semicolon");
    text += "<small>" + words.Fill("index.also", {{"places", listed}}) + "</small>";
  }
  return Cell(internal::MayBeFault(result, first) ? "place" : "place weak", name, text);
}

// Bold only where the place may be the fault.
std::string Figure(bool may_be_fault, const std::string& text) {
  return (may_be_fault ? "<b>" : "<span class=\"weak\">") + text +
         (may_be_fault ? "</b>" : "</span>");
}

std::string PowerCell(const LocateResult& result, const Words& words) {
  const Candidate& first = result.candidates.front();
  if (result.values == FrameValues::kRelative) {
    return Cell("watts", "", "<small>" + words.Get("index.no_watts") + "</small>");
  }
  std::string text = Figure(internal::MayBeFault(result, first),
                            HtmlText(internal::WattsText(first.power_w, words)));
  const Words::Values range{{"low", HtmlText(internal::WattsText(first.power_low_w, words))},
                            {"high", HtmlText(internal::WattsText(first.power_high_w, words))}};
  text += "<small>" + words.Fill("index.range", range) + "</small>";
  const double amps_a = TopAmps(result);
  if (std::isfinite(amps_a)) {
    const std::string amps = internal::DigitsText(amps_a, 2, words);
    text += "<small>" + words.Fill("index.at_amps", {{"amps", amps}}) + "</small>";
  }
  return Cell("watts", NumberText(first.power_w), text);
}

std::string SureCell(const LocateResult& result, const Words& words) {
  const Candidate& first = result.candidates.front();
  std::string text = Figure(internal::MayBeFault(result, first),
                            HtmlText(internal::ConfidenceWord(first.confidence, words)));
  if (std::isfinite(first.confidence)) {
    text += "<small>" + HtmlText(internal::ConfidencePercent(first.confidence, words)) + "</small>";
  }
  const double percent = std::isfinite(first.confidence) ? 100 * first.confidence : 0;
  text += "<span class=\"bar\"><i style=\"width:" + internal::FormatDigits(percent, 2) +
          "%\"></i></span>";
  return Cell("sure", NumberText(first.confidence), text);
}

std::string ResultCells(const LocateResult& result, const Words& words) {
  if (!result.candidates.empty()) {
    return PlaceCell(result, words) + PowerCell(result, words) + SureCell(result, words);
  }
  return Cell("place", "", "") + Cell("watts", "", "") + Cell("sure", "", "");
}

std::string RowOf(const CaseRecord& record, const Words& words) {
  const Outcome outcome = OutcomeOf(record);
  std::string row = "<tr" + Attribute("class", outcome.css_class) + ">\n" +
                    PictureCell(record, words) + NameCell(record, words) +
                    OutcomeCell(record, words);
  if (record.status == CaseStatus::kDone)
    return row + ResultCells(record.result, words) + "</tr>\n";
  return row + "<td class=\"error\" colspan=\"3\" data-key=\"\">" +
         HtmlText(record.error, kErrorCellChars) + "</td>\n</tr>\n";
}

std::string Head(const Words& words, const std::string& language) {
  std::string text =
      "<!doctype html>\n<html lang=\"" + language + "\">\n<head>\n<meta charset=\"utf-8\">\n";
  text.append(kGenerator).append(OHMGLOW_VERSION).append("\">\n");
  // A second wall behind the escaping: no other script, nothing from elsewhere.
  text.append("<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; ")
      .append("img-src *; style-src 'unsafe-inline'; script-src 'sha256-")
      .append(kIndexScriptHash)
      .append("'; base-uri 'none'; form-action 'none'\">\n");
  text += "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n";
  return text.append("<title>")
      .append(words.Get("index.title"))
      .append("</title>\n<style>")
      .append(kIndexStyle)
      .append("</style>\n</head>\n");
}

// "40 captures", then how many came out which way, in the order of the column.
std::string Counts(const Summary& summary, const Words& words) {
  std::map<int, std::pair<Outcome, std::size_t>> counts;
  for (const CaseRecord& record : summary.records) {
    const Outcome outcome = OutcomeOf(record);
    ++counts.try_emplace(outcome.order, outcome, 0U).first->second.second;
  }
  std::string text = "<p class=\"counts\">";
  for (const auto& [order, count] : counts) {
    text += "<span>" + std::string(count.first.mark) + " <b>" + std::to_string(count.second) +
            "</b> " + words.Get(count.first.key) + "</span>\n";
  }
  return text + "</p>\n";
}

std::string Heading(const Summary& summary, const Words& words) {
  const std::size_t count = summary.records.size();
  std::string text = count == 1 ? words.Get("index.heading_one")
                                : words.Fill("index.heading", {{"count", std::to_string(count)}});
  if (summary.part) {
    text = words.Fill("index.heading_part",
                      {{"heading", text},
                       {"number", std::to_string(summary.part->shard.number)},
                       {"of", std::to_string(summary.part->shard.count)}});
  }
  return "<h1>" + text + "</h1>\n";
}

// What a click sorts a column by first; empty: it does not sort.
std::string HeadCell(const std::string& text, const char* sort) {
  const std::string by = *sort == '\0' ? std::string() : Attribute("data-sort", sort);
  return "<th scope=\"col\"" + by + ">" + text + "</th>\n";
}

std::string TableHead(const Words& words) {
  return "<table>\n<thead><tr>\n" + HeadCell(words.Get("index.picture"), "") +
         HeadCell(words.Get("index.case"), "up") + HeadCell(words.Get("index.outcome"), "up") +
         HeadCell(words.Get("index.first_place"), "up") +
         HeadCell(words.Get("index.power"), "down") +
         HeadCell(words.Get("index.confidence"), "down") + "</tr></thead>\n<tbody>\n";
}

std::string Foot(const Words& words) {
  return "</tbody>\n</table>\n<footer>" + words.Get("index.foot") + "</footer>\n";
}

}  // namespace

std::string ToIndexPage(const Summary& summary, const std::string& language) {
  const Words& words = Words::Report(language);
  std::string page = Head(words, language) + "<body>\n" + Heading(summary, words) +
                     Counts(summary, words) + TableHead(words);
  for (const CaseRecord& record : summary.records) page += RowOf(record, words);
  page.append(Foot(words)).append("<script>").append(kIndexScript).append("</script>\n");
  return page + "</body>\n</html>\n";
}

bool IsIndexPage(std::string_view text) { return text.find(kGenerator) != std::string_view::npos; }

}  // namespace ohmglow::batch
