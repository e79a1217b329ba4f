// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "ohmglow/sheet/sheet.h"

namespace ohmglow::internal {

/// What the page says, in the words of its catalogue. Text from files is
/// cleaned here.
class SheetPhrases {
 public:
  /// @param content  outlives this.
  explicit SheetPhrases(const SheetContent& content) : content_(content), words_(content.words) {}

  /// The candidates that the page shows, best first: those that may be the
  /// fault, and of a single fault's rivals only the possible ones.
  [[nodiscard]] static std::vector<const Candidate*> Shown(const LocateResult& result);

  /// What was found: the place and how sure that is; in the past tense where a
  /// second measurement followed.
  [[nodiscard]] std::string Finding() const;
  /// The second sentence: how warm, on which side; or what could not be seen.
  [[nodiscard]] std::string Detail() const;
  /// Which listed parts the frames did not show, where no fault was seen; empty otherwise.
  [[nodiscard]] std::string NotInView() const;
  /// The rail's resistance before and after the work; empty where it is not known.
  [[nodiscard]] std::string Resistance() const;
  /// Whether a second measurement says anything about the fault.
  [[nodiscard]] bool HasOutcome() const;
  /// Asks not to power a board whose fault still stands, and to measure before full
  /// voltage in any case; empty where no fault was ever seen.
  [[nodiscard]] std::string Caution() const;
  /// "part C41: very likely".
  [[nodiscard]] std::string LegendItem(const Candidate& place, int number) const;
  /// How to read the heat picture.
  /// @param has_rest  it shows a part of the board that was not filmed.
  [[nodiscard]] std::string HeatReading(bool has_rest) const;
  /// What the second measurement has shown.
  [[nodiscard]] std::string RepairFinding() const;
  /// How to read the pair of heat pictures.
  [[nodiscard]] std::string RepairReading(bool has_rest) const;
  /// The table of words for probabilities.
  [[nodiscard]] std::string Means() const;
  [[nodiscard]] std::string Date() const;
  /// A temperature difference in the page's unit, for example "3.4 °C".
  [[nodiscard]] std::string Degrees(double value_in_unit) const;
  /// Degrees of the page's unit a kelvin: 1 or 1.8.
  [[nodiscard]] double DegreesPerKelvin() const;
  /// A temperature in the page's unit, for example "41.2 °C".
  [[nodiscard]] std::string Temperature(double celsius) const;
  /// "3 more".
  [[nodiscard]] std::string More(std::size_t count) const;

 private:
  [[nodiscard]] std::string Number(double value, int digits) const;
  [[nodiscard]] std::string Quantity(const std::string& number, const char* unit) const;
  [[nodiscard]] std::string Power(double power_w) const;
  [[nodiscard]] std::string Ohms(double ohm) const;
  [[nodiscard]] std::string Place(const Candidate& place, int number) const;
  /// Whether the page has a picture with marks.
  [[nodiscard]] bool HasPicture() const;
  [[nodiscard]] std::string Listed(const std::vector<std::string>& items) const;
  [[nodiscard]] std::string ConfidenceOf(const Candidate& place) const;
  [[nodiscard]] std::string FillRise(const std::string& key, double rise_k) const;

  const SheetContent& content_;
  const Words& words_;
};

}  // namespace ohmglow::internal
