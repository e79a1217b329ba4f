// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <span>

#include "log_columns.h"

namespace ohmglow {
namespace {

using Words = std::span<const std::string_view>;

// English, German, French, Spanish, Italian, Dutch, Polish, Czech, Swedish,
// Portuguese, Chinese, Japanese, Russian, Ukrainian, Finnish, Danish, Norwegian, Turkish,
// Hungarian, Romanian, Korean, each without accents; from memory.
constexpr auto kTime = std::to_array<std::string_view>({"time",
                                                        "timestamp",
                                                        "epoch",
                                                        "elapsed",
                                                        "zeit",
                                                        "uhrzeit",
                                                        "zeitstempel",
                                                        "temps",
                                                        "heure",
                                                        "horodatage",
                                                        "tiempo",
                                                        "hora",
                                                        "tempo",
                                                        "ora",
                                                        "orario",
                                                        "tijd",
                                                        "tijdstip",
                                                        "czas",
                                                        "godzina",
                                                        "cas",
                                                        "tid",
                                                        "klockslag",
                                                        "tidpunkt",
                                                        "t",
                                                        "\xE6\x97\xB6\xE9\x97\xB4",
                                                        "\xE6\x99\x82\xE9\x96\x93",
                                                        "\xE6\x97\xB6\xE5\x88\xBB",
                                                        "\xE6\x99\x82\xE5\x88\xBB",
                                                        "\xE6\x97\xA5\xE6\x99\x82",
                                                        "datetime",
                                                        "clock",
                                                        "\xD0\xB2\xD1\x80\xD0\xB5\xD0\xBC\xD1\x8F",
                                                        "\xD1\x87\xD0\xB0\xD1\x81",
                                                        "aika",
                                                        "kello",
                                                        "zaman",
                                                        "saat",
                                                        "ido",
                                                        "timp",
                                                        "\xEC\x8B\x9C\xEA\xB0\x84",
                                                        "\xEC\x8B\x9C\xEA\xB0\x81"});
constexpr auto kDate = std::to_array<std::string_view>({"date",
                                                        "datum",
                                                        "fecha",
                                                        "data",
                                                        "\xE6\x97\xA5\xE6\x9C\x9F",
                                                        "\xE6\x97\xA5\xE4\xBB\x98",
                                                        "\xD0\xB4\xD0\xB0\xD1\x82\xD0\xB0",
                                                        "dato",
                                                        "paivamaara",
                                                        "tarih",
                                                        "\xEB\x82\xA0\xEC\xA7\x9C"});
constexpr auto kVolts = std::to_array<std::string_view>(
    {"voltage",
     "volt",
     "volts",
     "spannung",
     "tension",
     "voltaje",
     "tensione",
     "spanning",
     "napiecie",
     "napeti",
     "tensao",
     "vout",
     "uout",
     "vmeas",
     "u",
     "v",
     "millivolts",
     "\xE7\x94\xB5\xE5\x8E\x8B",
     "\xE9\x9B\xBB\xE5\x9C\xA7",
     "voltagem",
     "\xD0\xBD\xD0\xB0\xD0\xBF\xD1\x80\xD1\x8F\xD0\xB6\xD0\xB5\xD0\xBD\xD0\xB8\xD0\xB5",
     "\xD0\xBD\xD0\xB0\xD0\xBF\xD1\x80\xD1\x83\xD0\xB3\xD0\xB0",
     "jannite",
     "spaending",
     "spenning",
     "gerilim",
     "feszultseg",
     "tensiune",
     "\xEC\xA0\x84\xEC\x95\x95"});
constexpr auto kAmps = std::to_array<std::string_view>({"current",
                                                        "curr",
                                                        "amp",
                                                        "amps",
                                                        "ampere",
                                                        "amperes",
                                                        "amperage",
                                                        "strom",
                                                        "courant",
                                                        "intensite",
                                                        "corriente",
                                                        "intensidad",
                                                        "corrente",
                                                        "stroom",
                                                        "prad",
                                                        "natezenie",
                                                        "proud",
                                                        "iout",
                                                        "imeas",
                                                        "i",
                                                        "imon",
                                                        "\xE7\x94\xB5\xE6\xB5\x81",
                                                        "\xE9\x9B\xBB\xE6\xB5\x81",
                                                        "milliamps",
                                                        "\xD1\x82\xD0\xBE\xD0\xBA",
                                                        "\xD1\x81\xD1\x82\xD1\x80\xD1\x83\xD0\xBC",
                                                        "virta",
                                                        "akim",
                                                        "aram",
                                                        "curent",
                                                        "\xEC\xA0\x84\xEB\xA5\x98"});
constexpr auto kWatts = std::to_array<std::string_view>(
    {"power",
     "watt",
     "watts",
     "leistung",
     "puissance",
     "potencia",
     "potenza",
     "vermogen",
     "moc",
     "vykon",
     "effekt",
     "pout",
     "p",
     "w",
     "\xE5\x8A\x9F\xE7\x8E\x87",
     "\xE9\x9B\xBB\xE5\x8A\x9B",
     "milliwatts",
     "\xD0\xBC\xD0\xBE\xD1\x89\xD0\xBD\xD0\xBE\xD1\x81\xD1\x82\xD1\x8C",
     "\xD0\xBF\xD0\xBE\xD1\x82\xD1\x83\xD0\xB6\xD0\xBD\xD1\x96\xD1\x81\xD1\x82\xD1\x8C",
     "teho",
     "guc",
     "teljesitmeny",
     "putere",
     "\xEC\xA0\x84\xEB\xA0\xA5"});
constexpr auto kOutput = std::to_array<std::string_view>({"output",
                                                          "ausgang",
                                                          "sortie",
                                                          "salida",
                                                          "uscita",
                                                          "uitgang",
                                                          "wyjscie",
                                                          "vystup",
                                                          "utgang",
                                                          "saida",
                                                          "enable",
                                                          "enabled",
                                                          "onoff",
                                                          "on",
                                                          "\xE8\xBE\x93\xE5\x87\xBA"});
constexpr auto kSet =
    std::to_array<std::string_view>({"set",
                                     "setpoint",
                                     "setting",
                                     "soll",
                                     "sollwert",
                                     "consigne",
                                     "consigna",
                                     "nominal",
                                     "preset",
                                     "limit",
                                     "limite",
                                     "grenze",
                                     "ziel",
                                     "target",
                                     "impostata",
                                     "impostato",
                                     "ingesteld",
                                     "zadany",
                                     "zadana",
                                     "zadane",
                                     "nastaveny",
                                     "nastavene",
                                     "borvarde",
                                     "ajuste",
                                     "programmed",
                                     "lim",
                                     "begrenzung",
                                     "iset",
                                     "vset",
                                     "uset",
                                     "ustawiony",
                                     "ustawione",
                                     "\xD1\x83\xD1\x81\xD1\x82\xD0\xB0\xD0\xB2\xD0\xBA\xD0\xB0",
                                     "\xD0\xB7\xD0\xB0\xD0\xB4\xD0\xB0\xD0\xBD\xD0\xB8\xD0\xB5"});
constexpr auto kReal = std::to_array<std::string_view>(
    {"meas",    "measured", "measure",  "ist",     "istwert",   "mesure",    "mesuree", "medido",
     "medida",  "misurata", "misurato", "gemeten", "zmierzony", "zmierzone", "mereny",  "merene",
     "uppmatt", "actual",   "readback", "monitor", "act",       "arvarde"});
// Columns of other things that have a volt or an ampere in their names.
constexpr auto kOther = std::to_array<std::string_view>(
    {"ovp",        "ocp",         "opp",    "protection", "energy",  "charge",    "capacity",
     "resistance", "temperature", "temp",   "ripple",     "energie", "kapazitat", "widerstand",
     "temperatur", "index",       "sample", "mode",       "max",     "alarm"});
constexpr auto kChannel = std::to_array<std::string_view>({"ch",
                                                           "channel",
                                                           "chan",
                                                           "kanal",
                                                           "voie",
                                                           "canal",
                                                           "canale",
                                                           "kanaal",
                                                           "channels",
                                                           "out",
                                                           "output",
                                                           "ausgang"});
// Long words that make others with what stands before or after them.
struct Stem {
  std::string_view text;
  LogQuantity quantity;
};
constexpr std::array<Stem, 16> kStems = {
    {{"spannung", LogQuantity::kVolts},
     {"spanning", LogQuantity::kVolts},
     {"voltage", LogQuantity::kVolts},
     {"strom", LogQuantity::kAmps},
     {"current", LogQuantity::kAmps},
     {"leistung", LogQuantity::kWatts},
     {"vermogen", LogQuantity::kWatts},
     {"zeit", LogQuantity::kTime},
     {"timestamp", LogQuantity::kTime},
     {"\xE6\x99\x82\xE9\x96\x93", LogQuantity::kTime},
     {"\xE6\x97\xB6\xE9\x97\xB4", LogQuantity::kTime},
     {"\xE9\x9B\xBB\xE5\x9C\xA7", LogQuantity::kVolts},
     {"\xE7\x94\xB5\xE5\x8E\x8B", LogQuantity::kVolts},
     {"\xE9\x9B\xBB\xE6\xB5\x81", LogQuantity::kAmps},
     {"\xE7\x94\xB5\xE6\xB5\x81", LogQuantity::kAmps},
     {"\xD0\xBD\xD0\xB0\xD0\xBF\xD1\x80\xD1\x8F\xD0\xB6", LogQuantity::kVolts}}};

bool Has(Words words, std::string_view word) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

LogQuantity OfWord(const std::string& word) {
  if (Has(kAmps, word)) return LogQuantity::kAmps;
  if (Has(kVolts, word)) return LogQuantity::kVolts;
  if (Has(kWatts, word)) return LogQuantity::kWatts;
  if (Has(kTime, word)) return LogQuantity::kTime;
  if (Has(kDate, word)) return LogQuantity::kDate;
  for (const Stem& stem : kStems) {
    if (word.find(stem.text) != std::string::npos) return stem.quantity;
  }
  return LogQuantity::kNone;
}

std::optional<LogQuantity> OfUnit(const Unit& unit) {
  switch (unit.dimension) {
    case Dimension::kTime:
      return LogQuantity::kTime;
    case Dimension::kVolts:
      return LogQuantity::kVolts;
    case Dimension::kAmps:
      return LogQuantity::kAmps;
    case Dimension::kWatts:
      return LogQuantity::kWatts;
    case Dimension::kLength:
    case Dimension::kCharge:
    case Dimension::kOther:
      break;
  }
  return std::nullopt;
}

bool IsNumber(const std::string& word) {
  return !word.empty() && word.find_first_not_of("0123456789") == std::string::npos;
}

std::string ChannelOf(const std::vector<std::string>& words) {
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (IsNumber(words[i])) return words[i];
    const bool letter = i > 0 && words[i].size() == 1 && Has(kChannel, words[i - 1]);
    if (letter && words[i][0] <= 'd') return words[i];
  }
  return {};
}

// The words alone; kNone where they contradict each other or speak of something else.
LogQuantity OfWords(const std::vector<std::string>& words) {
  LogQuantity found = LogQuantity::kNone;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (Has(kOther, words[i])) return LogQuantity::kNone;
    // The letter of a channel is no quantity.
    if (i > 0 && words[i].size() == 1 && Has(kChannel, words[i - 1]) && words[i] == "a") continue;
    const LogQuantity one = OfWord(words[i]);
    const bool longer = words[i].size() > 1;
    if (one != LogQuantity::kNone && (found == LogQuantity::kNone || longer)) {
      // "Date and time": a time with its date.
      found = one == LogQuantity::kDate && found == LogQuantity::kTime ? found : one;
    }
  }
  return found;
}

}  // namespace

LogMeaning ReadLogHeader(std::string_view cell, std::string_view unit_cell) {
  const HeaderCell header = ReadHeaderCell(cell);
  LogMeaning meaning;
  meaning.unit = header.unit;
  if (const auto unit = ParseUnit(unit_cell)) meaning.unit = unit;
  const auto any = [&](Words known) {
    return std::any_of(header.words.begin(), header.words.end(), [&](const std::string& word) {
      return Has(known, word);
    });
  };
  meaning.is_set =
      any(kSet) || std::any_of(header.words.begin(), header.words.end(), [](const auto& word) {
        return word.starts_with("soll") || word.starts_with("grenz");
      });
  meaning.is_real =
      any(kReal) || std::any_of(header.words.begin(), header.words.end(), [](const auto& word) {
        return word.starts_with("ist") || word.starts_with("mess");
      });
  meaning.channel = ChannelOf(header.words);
  if (any(kOther)) return meaning;
  meaning.quantity = OfWords(header.words);
  const auto by_unit = meaning.unit ? OfUnit(*meaning.unit) : std::nullopt;
  if (meaning.unit && !by_unit) {
    meaning.quantity = LogQuantity::kNone;  // Charge, energy, degrees.
  } else if (meaning.quantity == LogQuantity::kNone && by_unit) {
    const bool letter_of_channel =
        meaning.unit->name == "A" && !header.words.empty() && Has(kChannel, header.words.back()) &&
        cell.find_first_of("([{/") == std::string_view::npos && unit_cell.empty();
    if (!letter_of_channel) meaning.quantity = *by_unit;
  } else if (by_unit && *by_unit != meaning.quantity) {
    meaning.quantity = LogQuantity::kNone;  // A current in volts is no current yet.
  }
  if (meaning.quantity == LogQuantity::kNone && !meaning.unit && any(kOutput)) {
    meaning.quantity = LogQuantity::kOutput;
  }
  return meaning;
}

bool KnowsLogHeader(std::string_view cell) {
  return ReadLogHeader(cell, {}).quantity != LogQuantity::kNone;
}

std::string QuantityName(LogQuantity quantity) {
  switch (quantity) {
    case LogQuantity::kTime:
      return "time";
    case LogQuantity::kDate:
      return "date";
    case LogQuantity::kVolts:
      return "volts";
    case LogQuantity::kAmps:
      return "amps";
    case LogQuantity::kWatts:
      return "watts";
    case LogQuantity::kOutput:
      return "output";
    case LogQuantity::kNone:
      break;
  }
  return "nothing";
}

}  // namespace ohmglow
