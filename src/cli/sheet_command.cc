// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "cli/sheet_command.h"

#include <algorithm>
#include <ctime>
#include <iostream>

#include "cli/language.h"
#include "cli/located_case.h"
#include "cli/output_file.h"
#include "cli/process.h"
#include "cli/sheet_files.h"
#include "input/jpeg_codec.h"
#include "input/text.h"
#include "ohmglow/base/error.h"

namespace ohmglow::cli {
namespace {

constexpr int kPngDotsPerInch = 150;
// Photo and up to three thermal pictures stay far below 1.5 MB together.
constexpr std::size_t kMostJpegBytes = std::size_t{350} << 10U;
constexpr std::size_t kListedWords = 8;

SheetDate Today() {
  const std::time_t now = std::time(nullptr);
  std::tm local{};
  localtime_r(&now, &local);
  return {local.tm_year + 1900, local.tm_mon + 1, local.tm_mday};
}

// Coarser where the picture would not stay small.
std::string Jpeg(const cv::Mat& bgr) {
  std::string bytes;
  for (const int quality : {88, 75, 55, 35, 15}) {
    bytes = EncodeJpeg(bgr, quality);
    if (bytes.size() <= kMostJpegBytes) break;
  }
  return bytes;
}

/// @throws OptionError  where the option's text is none of the two.
bool IsSecond(const Arguments& arguments,
              const std::string& name,
              const std::string& first,
              const std::string& second) {
  const std::string text = ToLower(arguments.Text(name));
  if (text.empty() || text == first) return false;
  if (text == second) return true;
  throw OptionError("--" + name + ": " + Quoted(text) + " is unknown; give " + first + " or " +
                    second);
}

void SetOutputs(const Arguments& arguments, SheetRequest& request) {
  const std::filesystem::path out = arguments.Needed("out", "the page, FILE.pdf or FILE.png");
  const std::string extension = ToLower(out.extension().string());
  if (extension != ".pdf" && extension != ".png") {
    throw OptionError("--out: " + Quoted(out.string()) + " ends neither in .pdf nor in .png");
  }
  (extension == ".pdf" ? request.pdf : request.png) = out;
  if (!arguments.has("png")) return;
  const std::filesystem::path png = arguments.Text("png");
  if (ToLower(png.extension().string()) != ".png") {
    throw OptionError("--png: " + Quoted(png.string()) + " does not end in .png");
  }
  if (!request.png.empty()) throw OptionError("--png and --out both name a PNG; give one of them");
  request.png = png;
}

Words ReadWords(const SheetRequest& request) {
  if (request.words_file.empty()) return Words::BuiltIn(request.language);
  return Words::Parse(ReadUtf8(request.words_file, "--words"), request.words_file.string());
}

std::string Listed(const std::vector<std::string>& keys) {
  std::string text;
  for (std::size_t i = 0; i < std::min(keys.size(), kListedWords); ++i) {
    text += text.empty() ? "" : ", ";
    text += keys[i];
  }
  return keys.size() > kListedWords ? text + ", ..." : text;
}

// What the page cannot say itself, to whoever hands it over.
void PrintRemarks(const SheetRequest& request, const SheetContent& content) {
  const SheetFit fit = FitSheet(content);
  if (!fit.title) {
    std::cout << "The title does not fit on the page and is cut; shorten it in the case file and "
                 "run 'ohmglow locate' again\n";
  }
  if (!fit.notes) {
    std::cout << "The notes do not fit on the page: what is left out is not on it; shorten "
              << request.notes_file.string() << '\n';
  }
  if (content.result.pictures.empty()) {
    std::cout << "The result folder holds no maps (an older version made it): no thermal "
                 "picture; run 'ohmglow locate' again for one\n";
  }
  if (request.words_file.empty()) return;
  const auto missing = content.words.Missing();
  const auto unknown = content.words.Unknown();
  const std::string name = request.words_file.string();
  if (!missing.empty()) {
    std::cout << name << ": missing, so English and marked" << Words::kFallbackSign << ": "
              << Listed(missing) << '\n';
  }
  if (!unknown.empty()) std::cout << name << ": used nowhere: " << Listed(unknown) << '\n';
}

SheetContent ReadContent(const SheetRequest& request) {
  SheetContent content;
  content.words = ReadWords(request);
  ReadResultInto(content, request.result_folder);
  if (!request.compare_folder.empty()) {
    content.repair = ReadRepair(request.compare_folder, content.result);
  }
  if (!request.notes_file.empty()) content.notes = ReadUtf8(request.notes_file, "--notes");
  if (!request.shop_file.empty()) content.shop = ReadShop(request.shop_file);
  content.date = request.date;
  content.paper = request.paper;
  content.unit = request.unit;
  content.encode_jpeg = Jpeg;
  return content;
}

ExitCode RunSheet(const Arguments& arguments) {
  const SheetRequest request = ReadSheetRequest(arguments, Today());
  SetThreads(1);
  const bool want_pdf = !request.pdf.empty();
  const bool want_png = !request.png.empty();
  // Both are checked and drawn before either is written.
  if (want_pdf) CheckOutputFile(request.pdf);
  if (want_png) CheckOutputFile(request.png);
  const SheetContent content = ReadContent(request);
  const std::string pdf = want_pdf ? DrawSheetPdf(content) : std::string();
  const std::string png =
      want_png ? MarkedPng(Encode(DrawSheetPicture(content, request.dots_per_inch), request.png))
               : std::string();
  if (want_pdf) WriteOutputFile(request.pdf, pdf);
  if (want_png) WriteOutputFile(request.png, png);
  if (want_pdf) std::cout << "The customer's page: " << request.pdf.string() << '\n';
  if (want_png) std::cout << "The customer's page: " << request.png.string() << '\n';
  PrintRemarks(request, content);
  return ExitCode::kDone;
}

}  // namespace

SheetRequest ReadSheetRequest(const Arguments& arguments, SheetDate today) {
  SheetRequest request;
  request.result_folder = arguments.Places(1, "one result folder").front();
  SetOutputs(arguments, request);
  request.compare_folder = arguments.Text("compare");
  request.notes_file = arguments.Text("notes");
  request.shop_file = arguments.Text("shop");
  request.words_file = arguments.Text("words");
  if (arguments.has("words") && arguments.has("language")) {
    throw OptionError("--words and --language both choose the words; give one of them");
  }
  request.language = Language(arguments);
  request.date = today;
  if (arguments.has("date")) {
    try {
      request.date = ParseSheetDate(arguments.Text("date"));
    } catch (const OptionError& error) {
      throw OptionError(std::string("--date: ") + error.what());
    }
  }
  request.dots_per_inch = arguments.Whole("dpi", 40, 600, kPngDotsPerInch);
  request.paper = IsSecond(arguments, "paper", "a4", "letter") ? Paper::kLetter : Paper::kA4;
  request.unit = IsSecond(arguments, "unit", "c", "f") ? TemperatureUnit::kFahrenheit
                                                       : TemperatureUnit::kCelsius;
  return request;
}

Command SheetCommand() {
  return {
      {.name = "sheet",
       .does = "make a page of a result for the customer",
       .usage = "  ohmglow sheet RESULT_DIR --out FILE.pdf [--png FILE.png] [options]\n",
       .about =
           "RESULT_DIR is a folder that 'ohmglow locate' has written. The page tells in plain\n"
           "words what was found and how sure that is, with the place on the photo and the heat\n"
           "picture. A file of the same name is replaced only where ohmglow made it.\n",
       .options =
           {{"out", "FILE", "the page; a PDF or a PNG, as its name ends"},
            {"png", "FILE", "the same page as a PNG beside the PDF"},
            {"compare", "DIR", "a folder that 'ohmglow compare' has written: before and after"},
            {"notes", "FILE", "what was done, plain text in UTF-8; a line is a paragraph"},
            {"shop", "FILE", "shop.ini: your name, logo and how to reach you"},
            {"date", "YYYY-MM-DD", "date on the page; default: today"},
            {"unit", "c|f", "temperature differences in degrees Celsius or Fahrenheit; default c"},
            {"paper", "a4|letter", "paper size; default a4"},
            {"dpi", "N", "dots an inch of the PNG, 40 to 600; default 150"},
            LanguageOption(),
            {"words", "FILE", "words of your own instead, as src/words/page/en.ini has them"}}},
      RunSheet};
}

}  // namespace ohmglow::cli
