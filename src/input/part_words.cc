// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "part_words.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <span>
#include <utility>
#include <vector>

#include "word_index.h"

namespace ohmglow {
namespace {

using enum PartQuantity;

struct Word {
  std::string_view text;
  PartQuantity quantity;
};
// Folded words without blanks and signs; common practice, no source. Those in Chinese, Japanese and
// Russian are from memory.
constexpr auto kWords = std::to_array<Word>(
    {{"ref", kRef},
     {"refdes", kRef},
     {"designator", kRef},
     {"reference", kRef},
     {"references", kRef},
     {"referenz", kRef},
     {"bezeichner", kRef},
     {"bauteil", kRef},
     {"component", kRef},
     {"partname", kRef},
     {"referencia", kRef},
     {"repere", kRef},
     {"bauteilname", kRef},
     {"bauteilbezeichnung", kRef},
     {"bauteilbezeichner", kRef},
     {"referenzbezeichner", kRef},
     {"referencedesignator", kRef},
     {"refdesignator", kRef},
     {"partreference", kRef},
     {"partref", kRef},
     {"componente", kRef},
     {"composant", kRef},
     {"oznaczenie", kRef},
     {"x", kX},
     {"posx", kX},
     {"xpos", kX},
     {"midx", kX},
     {"xmid", kX},
     {"centerx", kX},
     {"centrex", kX},
     {"xcenter", kX},
     {"locationx", kX},
     {"xlocation", kX},
     {"coordx", kX},
     {"xcoord", kX},
     {"positionx", kX},
     {"xposition", kX},
     {"xkoordinate", kX},
     {"xkoord", kX},
     {"koordinatex", kX},
     {"coordinatex", kX},
     {"xcoordinate", kX},
     {"centroidx", kX},
     {"y", kY},
     {"posy", kY},
     {"ypos", kY},
     {"midy", kY},
     {"ymid", kY},
     {"centery", kY},
     {"centrey", kY},
     {"ycenter", kY},
     {"locationy", kY},
     {"ylocation", kY},
     {"coordy", kY},
     {"ycoord", kY},
     {"positiony", kY},
     {"yposition", kY},
     {"ykoordinate", kY},
     {"ykoord", kY},
     {"koordinatey", kY},
     {"coordinatey", kY},
     {"ycoordinate", kY},
     {"centroidy", kY},
     {"rot", kRotation},
     {"rotation", kRotation},
     {"angle", kRotation},
     {"orientation", kRotation},
     {"drehung", kRotation},
     {"winkel", kRotation},
     {"rotacion", kRotation},
     {"drehwinkel", kRotation},
     {"ausrichtung", kRotation},
     {"orientierung", kRotation},
     {"rotazione", kRotation},
     {"orient", kRotation},
     {"turn", kRotation},
     {"side", kSide},
     {"layer", kSide},
     {"seite", kSide},
     {"lage", kSide},
     {"tb", kSide},
     {"boardside", kSide},
     {"face", kSide},
     {"lado", kSide},
     {"cara", kSide},
     {"cote", kSide},
     {"mountside", kSide},
     {"bestuckungsseite", kSide},
     {"leiterplattenseite", kSide},
     {"platinenseite", kSide},
     {"lato", kSide},
     {"strona", kSide},
     {"package", kPackage},
     {"footprint", kPackage},
     {"case", kPackage},
     {"pattern", kPackage},
     {"gehause", kPackage},
     {"bauform", kPackage},
     {"housing", kPackage},
     {"landpattern", kPackage},
     {"gehausetyp", kPackage},
     {"gehauseform", kPackage},
     {"boitier", kPackage},
     {"encapsulado", kPackage},
     {"contenitore", kPackage},
     {"obudowa", kPackage},
     {"value", kValue},
     {"val", kValue},
     {"comment", kValue},
     {"wert", kValue},
     {"valor", kValue},
     {"width", kWidth},
     {"bodywidth", kWidth},
     {"breite", kWidth},
     {"sizex", kWidth},
     {"height", kHeight},
     {"bodyheight", kHeight},
     {"hohe", kHeight},
     {"sizey", kHeight},
     {"bodyx", kWidth},
     {"bodysizex", kWidth},
     {"dx", kWidth},
     {"bauteilbreite", kWidth},
     {"korperbreite", kWidth},
     {"koerperbreite", kWidth},
     {"gehausebreite", kWidth},
     {"gehaeusebreite", kWidth},
     {"largeur", kWidth},
     {"ancho", kWidth},
     {"anchura", kWidth},
     {"larghezza", kWidth},
     {"szerokosc", kWidth},
     {"breedte", kWidth},
     {"bodyy", kHeight},
     {"bodysizey", kHeight},
     {"dy", kHeight},
     {"hoehe", kHeight},
     {"bauteilhohe", kHeight},
     {"hauteur", kHeight},
     {"altura", kHeight},
     {"altezza", kHeight},
     {"wysokosc", kHeight},
     {"hoogte", kHeight},
     {"length", kLength},
     {"bodylength", kLength},
     {"lange", kLength},
     {"laenge", kLength},
     {"bauteillange", kLength},
     {"bauteillaenge", kLength},
     {"korperlange", kLength},
     {"koerperlaenge", kLength},
     {"gehauselange", kLength},
     {"gehaeuselaenge", kLength},
     {"longueur", kLength},
     {"largo", kLength},
     {"longitud", kLength},
     {"lunghezza", kLength},
     {"dlugosc", kLength},
     {"lengte", kLength},
     {"kind", kKind},
     {"type", kKind},
     {"art", kKind},
     {"\xE4\xBD\x8D\xE5\x8F\xB7", kRef},
     {"\xE6\xA0\x87\xE5\x8F\xB7", kRef},
     {"\xE5\x85\x83\xE4\xBB\xB6", kRef},
     {"\xE5\x85\x83\xE4\xBB\xB6\xE4\xBD\x8D\xE5\x8F\xB7", kRef},
     {"\xD0\xBE\xD0\xB1\xD0\xBE\xD0\xB7\xD0\xBD\xD0\xB0\xD1\x87\xD0\xB5\xD0\xBD\xD0\xB8\xD0\xB5",
      kRef},
     {"\xD0\xBF\xD0\xBE\xD0\xB7\xD0\xB8\xD1\x86\xD0\xB8\xD1\x8F", kRef},
     {"\xE9\x83\xA8\xE5\x93\x81", kRef},
     {"\xE9\x83\xA8\xE5\x93\x81\xE7\x95\xAA\xE5\x8F\xB7", kRef},
     {"x\xE5\x9D\x90\xE6\xA0\x87", kX},
     {"\xE5\x9D\x90\xE6\xA0\x87x", kX},
     {"\xE4\xB8\xAD\xE5\xBF\x83x", kX},
     {"\xE4\xB8\xAD\xE5\xBF\x83\xE5\x9D\x90\xE6\xA0\x87x", kX},
     {"x\xE5\xBA\xA7\xE6\xA8\x99", kX},
     {"\xE5\xBA\xA7\xE6\xA8\x99x", kX},
     {"\xD0\xBA\xD0\xBE\xD0\xBE\xD1\x80\xD0\xB4\xD0\xB8\xD0\xBD\xD0\xB0\xD1\x82\xD0\xB0x", kX},
     {"y\xE5\x9D\x90\xE6\xA0\x87", kY},
     {"\xE5\x9D\x90\xE6\xA0\x87y", kY},
     {"\xE4\xB8\xAD\xE5\xBF\x83y", kY},
     {"\xE4\xB8\xAD\xE5\xBF\x83\xE5\x9D\x90\xE6\xA0\x87y", kY},
     {"y\xE5\xBA\xA7\xE6\xA8\x99", kY},
     {"\xE5\xBA\xA7\xE6\xA8\x99y", kY},
     {"\xD0\xBA\xD0\xBE\xD0\xBE\xD1\x80\xD0\xB4\xD0\xB8\xD0\xBD\xD0\xB0\xD1\x82\xD0\xB0y", kY},
     {"\xE6\x97\x8B\xE8\xBD\xAC", kRotation},
     {"\xE8\xA7\x92\xE5\xBA\xA6", kRotation},
     {"\xE6\x97\x8B\xE8\xBD\xAC\xE8\xA7\x92\xE5\xBA\xA6", kRotation},
     {"\xE5\x9B\x9E\xE8\xBB\xA2", kRotation},
     {"\xE5\x9B\x9E\xE8\xBB\xA2\xE8\xA7\x92\xE5\xBA\xA6", kRotation},
     {"\xD1\x83\xD0\xB3\xD0\xBE\xD0\xBB", kRotation},
     {"\xD0\xBF\xD0\xBE\xD0\xB2\xD0\xBE\xD1\x80\xD0\xBE\xD1\x82", kRotation},
     {"\xE5\xB1\x82", kSide},
     {"\xE9\x9D\xA2", kSide},
     {"\xE5\xB1\x82\xE9\x9D\xA2", kSide},
     {"\xE6\x9D\xBF\xE5\xB1\x82", kSide},
     {"\xE6\x9D\xBF\xE9\x9D\xA2", kSide},
     {"\xE5\xAE\x9F\xE8\xA3\x85\xE9\x9D\xA2", kSide},
     {"\xD1\x81\xD1\x82\xD0\xBE\xD1\x80\xD0\xBE\xD0\xBD\xD0\xB0", kSide},
     {"\xD1\x81\xD0\xBB\xD0\xBE\xD0\xB9", kSide},
     {"\xE5\xB0\x81\xE8\xA3\x85", kPackage},
     {"\xE5\xB0\x81\xE8\xA3\x85\xE5\x90\x8D\xE7\xA7\xB0", kPackage},
     {"\xE5\xA4\x96\xE5\xBD\xA2", kPackage},
     {"\xD0\xBA\xD0\xBE\xD1\x80\xD0\xBF\xD1\x83\xD1\x81", kPackage},
     {"\xD0\xBD\xD0\xBE\xD0\xBC\xD0\xB8\xD0\xBD\xD0\xB0\xD0\xBB", kValue},
     {"\xE8\xA7\x84\xE6\xA0\xBC", kValue},
     {"\xE5\x8F\x82\xE6\x95\xB0", kValue},
     {"\xE5\xAE\xBD", kWidth},
     {"\xE5\xAE\xBD\xE5\xBA\xA6", kWidth},
     {"\xD1\x88\xD0\xB8\xD1\x80\xD0\xB8\xD0\xBD\xD0\xB0", kWidth},
     {"\xD0\xB2\xD1\x8B\xD1\x81\xD0\xBE\xD1\x82\xD0\xB0", kHeight},
     {"\xE9\x95\xBF", kLength},
     {"\xE9\x95\xBF\xE5\xBA\xA6", kLength},
     {"\xD0\xB4\xD0\xBB\xD0\xB8\xD0\xBD\xD0\xB0", kLength}});

constexpr int kOddRank = 1;

// "Lage X", "X Mitte": one x among words, none of which makes a size or a pin of it.
PartQuantity OddCoordinate(const std::vector<std::string>& words) {
  constexpr auto kOther = std::to_array<std::string_view>({"size",
                                                           "width",
                                                           "length",
                                                           "breite",
                                                           "lange",
                                                           "grosse",
                                                           "body",
                                                           "pad",
                                                           "pin",
                                                           "offset",
                                                           "delta",
                                                           "scale",
                                                           "step",
                                                           "dimension",
                                                           "korper",
                                                           "taille",
                                                           "tamano"});
  const auto is_other = [&](const std::string& word) {
    return std::find(kOther.begin(), kOther.end(), word) != kOther.end();
  };
  if (words.size() < 2 || std::any_of(words.begin(), words.end(), is_other)) return kNone;
  const auto xs = std::count(words.begin(), words.end(), "x");
  const auto ys = std::count(words.begin(), words.end(), "y");
  if (xs + ys != 1) return kNone;
  return xs == 1 ? kX : kY;
}

}  // namespace

PartMeaning ReadPartHeader(std::string_view cell, std::string_view unit_cell) {
  const HeaderCell header = ReadHeaderCell(cell);
  PartMeaning meaning;
  meaning.unit = header.unit;
  if (const auto unit = ParseUnit(unit_cell)) meaning.unit = unit;
  std::string joined;
  for (const std::string& word : header.words) joined += word;
  static const WordIndex<Word> kIndex(kWords);
  const Word* const found = kIndex.Find(joined);
  if (found == nullptr) {
    meaning.quantity = OddCoordinate(header.words);
    meaning.rank = kOddRank;
    return meaning;
  }
  meaning.quantity = found->quantity;
  return meaning;
}

bool KnowsPartHeader(std::string_view cell) {
  return ReadPartHeader(cell, {}).quantity != PartQuantity::kNone;
}

std::optional<BoardSide> ParseLooseSide(std::string_view word) {
  std::string joined;
  for (const char c : Fold(word)) {
    if (c != ' ' && c != '.' && c != '_' && c != '-') joined += c;
  }
  constexpr auto kTop =
      std::to_array<std::string_view>({"top",
                                       "t",
                                       "toplayer",
                                       "topside",
                                       "front",
                                       "f",
                                       "frontside",
                                       "component",
                                       "componentside",
                                       "primary",
                                       "primaryside",
                                       "oben",
                                       "oberseite",
                                       "vorderseite",
                                       "bestuckungsseite",
                                       "dessus",
                                       "arriba",
                                       "superior",
                                       "sopra",
                                       "boven",
                                       "gora",
                                       "\xE9\xA1\xB6\xE5\xB1\x82",
                                       "\xE9\xA1\xB6\xE9\x9D\xA2",
                                       "\xE6\xAD\xA3\xE9\x9D\xA2",
                                       "\xD0\xB2\xD0\xB5\xD1\x80\xD1\x85",
                                       "\xD0\xB2\xD0\xB5\xD1\x80\xD1\x85\xD0\xBD\xD1\x8F\xD1\x8F"});
  constexpr auto kBottom =
      std::to_array<std::string_view>({"bottom",
                                       "bot",
                                       "b",
                                       "bottomlayer",
                                       "bottomside",
                                       "back",
                                       "backside",
                                       "solder",
                                       "solderside",
                                       "secondary",
                                       "secondaryside",
                                       "unten",
                                       "unterseite",
                                       "ruckseite",
                                       "lotseite",
                                       "dessous",
                                       "abajo",
                                       "inferior",
                                       "sotto",
                                       "onder",
                                       "dol",
                                       "\xE5\xBA\x95\xE5\xB1\x82",
                                       "\xE5\xBA\x95\xE9\x9D\xA2",
                                       "\xE8\x83\x8C\xE9\x9D\xA2",
                                       "\xE5\x8F\x8D\xE9\x9D\xA2",
                                       "\xD0\xBD\xD0\xB8\xD0\xB7",
                                       "\xD0\xBD\xD0\xB8\xD0\xB6\xD0\xBD\xD1\x8F\xD1\x8F"});
  const auto has = [&](std::span<const std::string_view> words) {
    return std::find(words.begin(), words.end(), joined) != words.end();
  };
  if (has(kTop)) return BoardSide::kTop;
  if (has(kBottom)) return BoardSide::kBottom;
  return std::nullopt;
}

bool LooksLikeRef(std::string_view cell) {
  std::size_t letters = 0;
  while (letters < cell.size() && std::isalpha(static_cast<unsigned char>(cell[letters])) != 0) {
    ++letters;
  }
  if (letters < 1 || letters > 4 || letters == cell.size() || cell.size() > 8) return false;
  return std::isdigit(static_cast<unsigned char>(cell[letters])) != 0;
}

std::string KindOfRef(std::string_view ref) {
  std::string letters;
  for (const char c : Fold(ref)) {
    if (c < 'a' || c > 'z') break;
    letters += c;
  }
  constexpr auto kKinds =
      std::to_array<std::pair<std::string_view, std::string_view>>({{"c", "capacitor"},
                                                                    {"r", "resistor"},
                                                                    {"rn", "resistor"},
                                                                    {"u", "ic"},
                                                                    {"ic", "ic"},
                                                                    {"l", "inductor"},
                                                                    {"fb", "ferrite"},
                                                                    {"f", "fuse"},
                                                                    {"j", "connector"},
                                                                    {"cn", "connector"},
                                                                    {"con", "connector"},
                                                                    {"p", "connector"},
                                                                    {"x", "connector"},
                                                                    {"d", "diode"},
                                                                    {"led", "led"},
                                                                    {"q", "transistor"},
                                                                    {"t", "transistor"},
                                                                    {"sh", "shield"}});
  for (const auto& [name, kind] : kKinds) {
    if (name == letters) return std::string(kind);
  }
  return {};
}

}  // namespace ohmglow
