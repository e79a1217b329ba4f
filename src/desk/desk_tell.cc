// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <ctime>
#include <opencv2/imgproc.hpp>

#include "desk/desk.h"
#include "desk/replies.h"
#include "desk/shop_file.h"
#include "input/jpeg_codec.h"
#include "input/png_codec.h"
#include "ohmglow/base/error.h"
#include "ohmglow/sheet/sheet.h"

namespace ohmglow::desk {
namespace {

using Json = nlohmann::json;

constexpr std::size_t kNoteChars = 4000;
// As the command keeps it: enough for a printed page.
constexpr double kPagePhotoPx = 1600;
constexpr int kPageJpegQuality = 75;
constexpr double kPreviewDotsPerInch = 96;

SheetDate Today() {
  const std::time_t now = std::time(nullptr);
  std::tm local{};
  localtime_r(&now, &local);
  return {local.tm_year + 1900, local.tm_mon + 1, local.tm_mday};
}

std::string TextOf(const Json& json, const char* key) {
  const std::string text = json.value(key, std::string());
  if (text.size() > kNoteChars) throw OptionError(std::string(key) + " is too long for one page");
  return text;
}

SheetContent ContentOf(const Found& found, const Json& wanted, const Shop& shop) {
  SheetContent content;
  content.result = found.result();
  content.photo = found.job().photo;
  if (!content.photo.empty()) {
    content.photo_scale =
        std::min(1.0, kPagePhotoPx / std::max(content.photo.cols, content.photo.rows));
  }
  if (content.photo_scale < 1) {
    cv::Mat small;
    cv::resize(content.photo, small, {}, content.photo_scale, content.photo_scale, cv::INTER_AREA);
    content.photo = small;
  }
  content.notes = TextOf(wanted, "notes");
  content.shop = shop;  // Logo and all that the page does not ask for.
  content.shop.name = TextOf(wanted, "name");
  content.shop.address = TextOf(wanted, "address");
  content.shop.phone = TextOf(wanted, "phone");
  content.shop.mail = TextOf(wanted, "mail");
  content.date = Today();
  const std::string language = TextOf(wanted, "language");
  content.words = Words::BuiltIn(language.empty() ? "en" : language);
  content.paper = TextOf(wanted, "paper") == "letter" ? Paper::kLetter : Paper::kA4;
  content.unit =
      TextOf(wanted, "unit") == "f" ? TemperatureUnit::kFahrenheit : TemperatureUnit::kCelsius;
  content.encode_jpeg = [](const cv::Mat& bgr) { return EncodeJpeg(bgr, kPageJpegQuality); };
  return content;
}

}  // namespace

Shop Desk::OwnShop() const {
  std::error_code code;
  if (!std::filesystem::exists(options_.shop_file, code)) return {};
  return options_.read_shop(options_.shop_file);
}

Reply Desk::SendShop(const Ask& /*ask*/) {
  const Shop shop = OwnShop();
  return JsonReply(
      {{"name", shop.name}, {"address", shop.address}, {"phone", shop.phone}, {"mail", shop.mail}});
}

Reply Desk::SaveShop(const Ask& ask) {
  const std::lock_guard saving(saving_);
  SaveShopLines(options_.shop_file, Json::parse(ask.body));
  return JsonReply(Json::object());
}

Reply Desk::SendSheet(const Ask& ask) {
  const auto found = NeedFound();
  const Json wanted = Json::parse(ask.body);
  const SheetContent content = ContentOf(*found, wanted, OwnShop());
  if (wanted.value("form", "pdf") == "pdf") {
    return {200, "application/pdf", DrawSheetPdf(content), {}};
  }
  // Whether all that was written found room is told beside the preview.
  const SheetFit fit = FitSheet(content);
  return {200,
          "image/png",
          EncodePng(DrawSheetPicture(content, kPreviewDotsPerInch)),
          {{"X-Fits", fit.notes && fit.title ? "yes" : "no"}}};
}

}  // namespace ohmglow::desk
