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
#include "picture/text.h"
#include "picture/words.h"

namespace ohmglow::batch {
namespace {

constexpr std::string_view kGenerator = "<meta name=\"generator\" content=\"ohmglow ";
constexpr std::size_t kTitleChars = 120;
constexpr std::size_t kErrorCellChars = 500;

// What a row is about, in the order in which the column sorts.
struct Outcome {
  int order;
  std::string_view css_class;
  std::string_view words;
  std::string_view mark;  // So that a grey print tells them apart at a glance.
};

Outcome OutcomeOf(const CaseRecord& record) {
  if (record.status == CaseStatus::kFailed) return {4, "failed", "failed", "\u2715"};
  if (record.status == CaseStatus::kMissing) return {5, "missing", "not computed", "?"};
  switch (record.result.verdict) {
    case Verdict::kFound:
      return {1, "found", "located", "\u25CF"};
    case Verdict::kSeveral:
      return {2, "several", "several places", "\u25D0"};
    case Verdict::kNone:
      break;
  }
  if (!record.result.verdict_reason.empty()) return {3, "none", "cannot tell", "?"};
  return {3, "none", "no fault seen", "\u25CB"};
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

std::string PictureCell(const CaseRecord& record) {
  if (record.status != CaseStatus::kDone) return "<td class=\"picture\"></td>\n";
  std::string image = "<img loading=\"lazy\"";
  image += Attribute("src", HtmlLink(record.name + "/" + std::string(kThumbnailName)));
  image += Attribute("alt", "Places on the board of " + HtmlText(record.name, kTitleChars)) + ">";
  return "<td class=\"picture\">" + Link(record.name + "/overlay.png", image) + "</td>\n";
}

// The row's head: name, title and what there is to open.
std::string NameCell(const CaseRecord& record) {
  const std::string name = HtmlText(record.name, kTitleChars);
  std::string text =
      "<th scope=\"row\" class=\"name\"" + Attribute("data-key", name) + "><b>" + name + "</b>";
  if (!record.title.empty() && record.title != record.name)
    text += "<small>" + HtmlText(record.title) + "</small>";
  if (record.status == CaseStatus::kDone) {
    text += "<small class=\"links\">" + Link(record.name + "/overlay.png", "places") +
            Link(record.name + "/map.png", "heat map") +
            Link(record.name + "/result.json", "data") + Link(record.name + "/", "folder") +
            "</small>";
  }
  return text + "</th>\n";
}

std::string OutcomeCell(const CaseRecord& record) {
  const Outcome outcome = OutcomeOf(record);
  std::string badge = "<span class=\"badge ";
  badge.append(outcome.css_class).append("\">").append(outcome.mark).append(" ");
  badge.append(outcome.words).append("</span>");
  const double least_w = record.result.detectable_w;
  if (record.status == CaseStatus::kDone && record.result.verdict == Verdict::kNone &&
      least_w > 0) {
    badge += "<small>a fault above " + HtmlText(internal::FormatPower(least_w)) +
             " would have shown</small>";
  }
  return Cell("verdict", std::to_string(outcome.order), badge);
}

std::string PlaceCell(const LocateResult& result) {
  const Candidate& first = result.candidates.front();
  const std::string name = HtmlText(internal::PlaceName(first));
  std::string text = name + "<small>" + std::string(internal::SideWords(first.side)) + "</small>";
  std::string others;
  for (std::size_t i = 1; i < result.candidates.size(); ++i) {
    if (!internal::MayBeFault(result, result.candidates[i])) continue;
    others +=
        (others.empty() ? "also " : "; ") + HtmlText(internal::PlaceName(result.candidates[i]));
  }
  if (!others.empty()) text += "<small>" + others + "</small>";
  return Cell(internal::MayBeFault(result, first) ? "place" : "place weak", name, text);
}

// Bold only where the place may be the fault.
std::string Figure(bool may_be_fault, const std::string& text) {
  return (may_be_fault ? "<b>" : "<span class=\"weak\">") + text +
         (may_be_fault ? "</b>" : "</span>");
}

std::string PowerCell(const LocateResult& result) {
  const Candidate& first = result.candidates.front();
  if (result.values == FrameValues::kRelative) {
    return Cell("watts", "", "<small>no temperatures, so no watts</small>");
  }
  std::string text =
      Figure(internal::MayBeFault(result, first), HtmlText(internal::FormatPower(first.power_w)));
  text += "<small>" + HtmlText(internal::FormatPower(first.power_low_w)) + " to " +
          HtmlText(internal::FormatPower(first.power_high_w)) + "</small>";
  const double amps_a = TopAmps(result);
  if (std::isfinite(amps_a)) {
    text += "<small>at " + internal::FormatDigits(amps_a, 2) + " A</small>";
  }
  return Cell("watts", NumberText(first.power_w), text);
}

std::string SureCell(const LocateResult& result) {
  const Candidate& first = result.candidates.front();
  const std::string words = internal::ConfidenceText(first.confidence);
  const std::size_t comma = words.find(", ");
  std::string text = Figure(internal::MayBeFault(result, first), HtmlText(words.substr(0, comma)));
  if (comma != std::string::npos) {
    text += "<small>" + HtmlText(words.substr(comma + 2)) + "</small>";
  }
  const double percent = std::isfinite(first.confidence) ? 100 * first.confidence : 0;
  text += "<span class=\"bar\"><i style=\"width:" + internal::FormatDigits(percent, 2) +
          "%\"></i></span>";
  return Cell("sure", NumberText(first.confidence), text);
}

std::string ResultCells(const LocateResult& result) {
  if (!result.candidates.empty()) {
    return PlaceCell(result) + PowerCell(result) + SureCell(result);
  }
  return Cell("place", "", "") + Cell("watts", "", "") + Cell("sure", "", "");
}

std::string RowOf(const CaseRecord& record) {
  const Outcome outcome = OutcomeOf(record);
  std::string row = "<tr" + Attribute("class", outcome.css_class) + ">\n" + PictureCell(record) +
                    NameCell(record) + OutcomeCell(record);
  if (record.status == CaseStatus::kDone) return row + ResultCells(record.result) + "</tr>\n";
  return row + "<td class=\"error\" colspan=\"3\" data-key=\"\">" +
         HtmlText(record.error, kErrorCellChars) + "</td>\n</tr>\n";
}

std::string Head() {
  std::string text = "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n";
  text.append(kGenerator).append(OHMGLOW_VERSION).append("\">\n");
  // A second wall behind the escaping: no other script, nothing from elsewhere.
  text.append("<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; ")
      .append("img-src *; style-src 'unsafe-inline'; script-src 'sha256-")
      .append(kIndexScriptHash)
      .append("'; base-uri 'none'; form-action 'none'\">\n");
  text += "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n";
  return text.append("<title>Captures</title>\n<style>")
      .append(kIndexStyle)
      .append("</style>\n</head>\n");
}

// "40 captures", then how many came out which way, in the order of the column.
std::string Counts(const Summary& summary) {
  std::map<int, std::pair<Outcome, std::size_t>> counts;
  for (const CaseRecord& record : summary.records) {
    const Outcome outcome = OutcomeOf(record);
    ++counts.try_emplace(outcome.order, outcome, 0U).first->second.second;
  }
  std::string text = "<p class=\"counts\">";
  for (const auto& [order, count] : counts) {
    text += "<span>" + std::string(count.first.mark) + " <b>" + std::to_string(count.second) +
            "</b> " + std::string(count.first.words) + "</span>\n";
  }
  return text + "</p>\n";
}

std::string Heading(const Summary& summary) {
  const std::size_t count = summary.records.size();
  std::string text = "<h1>" + std::to_string(count) + (count == 1 ? " capture" : " captures");
  if (summary.part) {
    text += ", part " + std::to_string(summary.part->shard.number) + " of " +
            std::to_string(summary.part->shard.count);
  }
  return text + "</h1>\n";
}

constexpr std::string_view kTableHead = R"html(<table>
<thead><tr>
<th scope="col">Picture</th>
<th scope="col" data-sort="up">Case</th>
<th scope="col" data-sort="up">Outcome</th>
<th scope="col" data-sort="up">First place</th>
<th scope="col" data-sort="down">Power</th>
<th scope="col" data-sort="down">Confidence</th>
</tr></thead>
<tbody>
)html";

constexpr std::string_view kFoot = R"html(</tbody>
</table>
<footer>Power at the highest current of the capture, with its 95 % interval. Measure a part before
you replace it. A click on a picture opens the large one. All numbers: summary.csv.</footer>
)html";

}  // namespace

std::string ToIndexPage(const Summary& summary) {
  std::string page = Head() + "<body>\n" + Heading(summary) + Counts(summary);
  page += kTableHead;
  for (const CaseRecord& record : summary.records) page += RowOf(record);
  page.append(kFoot).append("<script>").append(kIndexScript).append("</script>\n");
  return page + "</body>\n</html>\n";
}

bool IsIndexPage(std::string_view text) { return text.find(kGenerator) != std::string_view::npos; }

}  // namespace ohmglow::batch
