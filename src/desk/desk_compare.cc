// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <memory>
#include <utility>

#include "desk/desk.h"
#include "desk/inside.h"
#include "desk/replies.h"
#include "desk/what_if.h"
#include "ohmglow/base/error.h"
#include "ohmglow/picture/compare_report.h"

namespace ohmglow::desk {
namespace {

using Json = nlohmann::json;

LeftOut LeftOutOf(const Json& wanted) {
  LeftOut out;
  for (const Json& row : wanted.value("contacts", Json::array())) {
    out.contacts.insert(row.get<std::size_t>());
  }
  for (const Json& ref : wanted.value("parts", Json::array())) {
    out.parts.insert(ref.get<std::string>());
  }
  for (const Json& span : wanted.value("spans", Json::array())) {
    out.spans.push_back({span.at(0).get<double>(), span.at(1).get<double>()});
  }
  return out;
}

}  // namespace

bool Desk::Busy() const {
  return run_.running() || second_.running() || compared_.running() || sheets_.running();
}

Reply Desk::StartWhatIf(const Ask& ask) {
  const LeftOut out = LeftOutOf(Json::parse(ask.body));
  const std::lock_guard saving(saving_);
  const Place place = At();
  if (Busy()) return JsonReply({{"error", "another computation runs"}}, 409);
  const bool started =
      second_.Start([place, out, options = options_.locate, choice = options_.choice](
                        const std::function<void(double)>& progress) {
        LocateOptions own = options;
        own.progress = progress;
        return std::make_shared<const Found>(Without(OpenCapture(place, choice).job, out), own);
      });
  return JsonReply({{"started", started}}, started ? 200 : 409);
}

Reply Desk::StartCompare(const Ask& ask) {
  const auto& folder = OnShelf(Json::parse(ask.body).at("number").get<std::size_t>());
  const std::lock_guard saving(saving_);  // No other case is chosen meanwhile.
  const Place before = At();
  const Place after{root_, folder / "case.ini"};
  if (!IsInside(root_, after.at)) throw OptionError("the case has gone from the folder");
  if (Busy()) return JsonReply({{"error", "another computation runs"}}, 409);
  const bool started =
      compared_.Start([before, after, options = options_.locate, choice = options_.choice](
                          const std::function<void(double)>& progress) {
        CompareOptions own;
        own.locate = options;
        own.locate.progress = progress;
        const Case first = OpenCapture(before, choice).job;
        return std::make_shared<const CompareResult>(
            Compare(first, OpenCapture(after, choice).job, {}, own));
      });
  return JsonReply({{"started", started}}, started ? 200 : 409);
}

Reply Desk::SendCompared(const Ask& ask) {
  const auto compared = compared_.result();
  if (!compared) throw OptionError("nothing is compared yet");
  Json json = Json::parse(ToCompareJson(*compared, WordsOf(ask)));
  if (const auto& map = compared->before.maps.photo_from_frame) {
    json["photo_from_frame"] =
        std::vector<double>(std::begin(map->matrix.val), std::end(map->matrix.val));
  }
  return JsonReply(json);
}

Reply Desk::SendComparedMap(const Ask& ask) {
  const auto compared = compared_.result();
  if (!compared) throw OptionError("nothing is compared yet");
  const auto of = ask.query.find("of");
  const bool after = of != ask.query.end() && of->second == "after";
  return PixelReply(after ? compared->after_k : compared->before_k);
}

}  // namespace ohmglow::desk
