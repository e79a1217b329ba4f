// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// What is asked of a folder of many cases.

#include <utility>

#include "desk/desk.h"
#include "desk/inside.h"
#include "desk/own_file.h"
#include "desk/replies.h"
#include "desk/shelf.h"
#include "ohmglow/base/error.h"

namespace ohmglow::desk {

using Json = nlohmann::json;

const std::filesystem::path& Desk::OnShelf(std::size_t number) const {
  if (number >= shelf_.size()) throw OptionError("there is no such case on the shelf");
  return shelf_[number];
}

Json Desk::ToShelf(const std::filesystem::path& open) const {
  Json shelf = Json::array();
  for (const auto& folder : shelf_) {
    shelf.push_back({{"name", ShelfName(root_, folder)},
                     {"on_sheet", SheetName(root_, folder)},
                     {"open", folder / "case.ini" == open}});
  }
  return shelf;
}

Reply Desk::ChooseCase(const Ask& ask) {
  const auto& folder = OnShelf(Json::parse(ask.body).at("number").get<std::size_t>());
  const std::lock_guard saving(saving_);
  if (Busy()) return JsonReply({{"error", "stop the computation first"}}, 409);
  const std::lock_guard lock(mutex_);
  if (!IsInside(root_, folder)) throw OptionError("the case has gone from the folder");
  place_.at = folder / "case.ini";
  capture_.reset();
  changes_.Clear();
  run_.Clear();
  second_.Clear();
  compared_.Clear();
  return JsonReply(Json::object());
}

Reply Desk::StartContactSheet(const Ask& /*ask*/) {
  if (shelf_.empty()) throw OptionError("there are not several cases in this folder");
  const std::lock_guard saving(saving_);
  if (Busy()) return JsonReply({{"error", "another computation runs"}}, 409);
  const bool started = sheets_.Start([this](const std::function<void(double)>& progress) {
    MakeContactSheet(options_.shelf_work, root_, shelf_, progress);
    return std::make_shared<const bool>(true);
  });
  return JsonReply({{"started", started}}, started ? 200 : 409);
}

Reply Desk::SendContactSheet(const Ask& /*ask*/) { return JsonReply(ReadContactSheet(root_)); }

Reply Desk::SendThumbnail(const Ask& ask) {
  const double number = NumberOf(ask, "number");
  if (!(number >= 0 && number < 1e6)) throw OptionError("there is no such case on the shelf");
  const auto& folder = OnShelf(static_cast<std::size_t>(number));
  const auto file = root_ / kContactSheet / SheetName(root_, folder) / "thumbnail.jpg";
  if (!IsInside(root_, file)) throw OptionError("a link leads elsewhere");
  const auto bytes = BytesOf(file);
  if (!bytes) throw OptionError("there is no such picture");
  return {200, "image/jpeg", *bytes, {}};
}

}  // namespace ohmglow::desk
