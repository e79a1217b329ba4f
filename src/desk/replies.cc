// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "desk/replies.h"

#include <bit>
#include <cstring>

#include "input/text.h"
#include "ohmglow/base/error.h"

namespace ohmglow::desk {

static_assert(std::endian::native == std::endian::little, "pixels are sent as they lie in memory");

Reply JsonReply(const nlohmann::json& json, int status) {
  return {status,
          "application/json",
          json.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace),
          {}};
}

Reply PixelReply(const Image& image) {
  if (image.empty()) throw OptionError("there is no such picture");
  const std::size_t row_bytes = static_cast<std::size_t>(image.cols) * sizeof(float);
  Reply reply{200,
              "application/octet-stream",
              std::string(row_bytes * static_cast<std::size_t>(image.rows), '\0'),
              {{"X-Width", std::to_string(image.cols)}, {"X-Height", std::to_string(image.rows)}}};
  for (int y = 0; y < image.rows; ++y) {
    std::memcpy(reply.body.data() + static_cast<std::size_t>(y) * row_bytes, image[y], row_bytes);
  }
  return reply;
}

double NumberOf(const Ask& ask, const std::string& name) {
  const auto found = ask.query.find(name);
  const auto number = found == ask.query.end() ? std::nullopt : ParseNumber(found->second);
  if (!number) throw OptionError(name + " must be a number");
  return *number;
}

Point PointOf(const Ask& ask) { return {NumberOf(ask, "x"), NumberOf(ask, "y")}; }

const Words& WordsOf(const Ask& ask) {
  const auto language = ask.query.find("language");
  return Words::Report(language == ask.query.end() ? "en" : language->second);
}

}  // namespace ohmglow::desk
