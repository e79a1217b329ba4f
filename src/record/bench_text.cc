// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "record/bench_text.h"

#include <cmath>

#include "record/record_words.h"
#include "record/trip.h"

namespace ohmglow::record {

std::string ReadyText(const Readiness& ready, const Words& words) {
  const auto ms = [&](double seconds) {
    return NumberText(words, "%.0f", std::ceil(1000 * seconds));
  };
  return words.Fill("supply.ready", {{"name", ready.identity}}) + '\n' +
         words.Fill("supply.answers", {{"answer", ms(ready.answer_s)}, {"off", ms(ready.off_s)}}) +
         '\n';
}

std::string TurnText(double amps_a, const Words& words) {
  const std::string what =
      amps_a > 0 ? words.Fill("turn.to", {{"amps", NumberText(words, "%.3g", amps_a)}})
                 : words.Get("turn.off");
  const std::string bar = "    #######################################\n";
  return "\a\n" + bar + "    #   " + what + '\n' + bar;
}

std::string EndText(const RecordingEnd& end,
                    bool by_hand,
                    const std::filesystem::path& folder,
                    const Words& words) {
  const auto number = [&](const char* format, double value) {
    return NumberText(words, format, value);
  };
  std::string text;
  if (end.trip) text = words.Fill("end.stopped", {{"why", TripText(*end.trip, words)}}) + '\n';
  if (by_hand) {
    text += words.Get("end.by_hand");
  } else if (end.off_read_back) {
    text += words.Fill("end.off", {{"ms", number("%.0f", 1000 * end.off_s)}});
  } else {
    text += '\a' + words.Get("cry.not_off");
  }
  return text + '\n' +
         words.Fill("end.film",
                    {{"frames", std::to_string(end.film.frames)},
                     {"folder", folder.string()},
                     {"rate", number("%.1f", end.film.rate_hz)},
                     {"late", number("%.0f", 1000 * end.film.latest_s)},
                     {"missing", std::to_string(end.film.dropped)}}) +
         '\n';
}

}  // namespace ohmglow::record
