// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "ohmglow/sheet/sheet.h"

#include <cairo-pdf.h>

#include <array>
#include <charconv>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <memory>
#include <opencv2/imgproc.hpp>

#include "ohmglow/base/error.h"
#include "ohmglow/version.h"
#include "sheet/sheet_layout.h"
#include "sheet/sheet_pictures.h"
#include "words/shown_text.h"

namespace ohmglow {
namespace internal {
namespace {

constexpr double kPointsPerInch = 72;

struct CairoDeleter {
  void operator()(cairo_t* cairo) const { cairo_destroy(cairo); }
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
using CairoPtr = std::unique_ptr<cairo_t, CairoDeleter>;
using SurfacePtr = std::unique_ptr<cairo_surface_t, CairoDeleter>;

// Puts each kind of item on the page; the only way anything gets there.
class ItemPainter {
 public:
  /// @param encode_jpeg  may be empty.
  ItemPainter(cairo_t* cairo, const std::function<std::string(const cv::Mat&)>& encode_jpeg)
      : canvas_(cairo), encode_jpeg_(encode_jpeg) {}

  void operator()(const PageFill& fill) { canvas_.FillBox(fill.box, fill.color); }

  void operator()(const PageText& text) {
    // Stacked marks of a hostile text stay in its own lines.
    canvas_.Clip({text.box.x - 1, text.box.y - 1, text.box.width + 2, text.box.height + 2});
    canvas_.Text(text.text, text.box, text.style);
    canvas_.Unclip();
  }

  void operator()(const PageBadge& badge) {
    DrawBadge(canvas_, badge.center, badge.number, true, badge.sizes);
  }

  void operator()(const PagePicture& picture) {
    const bool jpeg = picture.photographic && encode_jpeg_;
    canvas_.PutPicture(picture.bgr, picture.box, jpeg ? encode_jpeg_(picture.bgr) : std::string());
    canvas_.Clip(picture.box);
    DrawRings(canvas_, picture.marks, picture.sizes);
    if (picture.badges) DrawBadges(canvas_, picture.marks, picture.sizes);
    canvas_.Unclip();
  }

 private:
  Canvas canvas_;
  const std::function<std::string(const cv::Mat&)>& encode_jpeg_;
};

void Paint(cairo_t* cairo,
           const SheetPage& page,
           const std::function<std::string(const cv::Mat&)>& encode_jpeg) {
  cairo_set_source_rgb(cairo, kPaper.red, kPaper.green, kPaper.blue);
  cairo_paint(cairo);
  ItemPainter painter(cairo, encode_jpeg);
  for (const PageItem& item : page.items) std::visit(painter, item);
}

void SetMetadata(cairo_surface_t* surface, const SheetContent& content) {
  const auto set = [&](cairo_pdf_metadata_t key, const std::string& text) {
    cairo_pdf_surface_set_metadata(surface, key, text.c_str());
  };
  std::string title = CleanText(content.result.title, 200);
  if (title.empty()) title = content.words.Get("heading.page");
  set(CAIRO_PDF_METADATA_TITLE, title);
  set(CAIRO_PDF_METADATA_AUTHOR, CleanText(content.shop.name, 200));
  set(CAIRO_PDF_METADATA_CREATOR, "ohmglow " OHMGLOW_VERSION);
  // The page's date instead of the clock: the same content, the same bytes.
  const SheetDate& date = content.date;
  std::array<char, 40> text{};
  std::snprintf(
      text.data(), text.size(), "%04d-%02d-%02dT00:00:00Z", date.year, date.month, date.day);
  set(CAIRO_PDF_METADATA_CREATE_DATE, text.data());
}

// Cairo 1.16 leaves out the "D:" that a date starts with (ISO 32000-1, 7.9.4).
// Put in without moving a byte of what follows: the hour and minute stay, the
// seconds go.
void MendDate(std::string& pdf) {
  constexpr std::string_view kKey = "/CreationDate (";
  constexpr std::size_t kToMinutes = 12;
  constexpr std::size_t kLength = 17;  // "(20261125000000Z)"
  const std::size_t open = pdf.find(kKey) + kKey.size() - 1;
  if (open + kLength > pdf.size() || pdf.compare(open + kLength - 2, 2, "Z)") != 0) return;
  const std::string minutes = pdf.substr(open + 1, kToMinutes);
  pdf.replace(open, kLength, "(D:" + minutes + ") ");
}

SheetPage PageOf(const SheetContent& content) {
  return LayOutSheet(content, MakeSheetPictures(content));
}

}  // namespace
}  // namespace internal

SheetDate ParseSheetDate(std::string_view text) {
  std::array<int, 3> parts{};
  constexpr std::array<std::size_t, 3> kStart{0, 5, 8};
  constexpr std::array<std::size_t, 3> kLength{4, 2, 2};
  bool well_formed = text.size() == 10 && text[4] == '-' && text[7] == '-';
  for (std::size_t i = 0; i < parts.size() && well_formed; ++i) {
    const char* const end = text.data() + kStart[i] + kLength[i];
    const auto read = std::from_chars(text.data() + kStart[i], end, parts[i]);
    well_formed = read.ec == std::errc() && read.ptr == end && parts[i] > 0;
  }
  const std::chrono::year_month_day day{std::chrono::year(parts[0]),
                                        std::chrono::month(static_cast<unsigned>(parts[1])),
                                        std::chrono::day(static_cast<unsigned>(parts[2]))};
  if (!well_formed || !day.ok()) {
    throw OptionError("date '" + internal::CleanText(text, 40) +
                      "' is no day of the calendar; write it as 2026-11-25");
  }
  return {parts[0], parts[1], parts[2]};
}

std::string DrawSheetPdf(const SheetContent& content) {
  using namespace internal;
  const SheetPage page = PageOf(content);
  std::string bytes;
  const auto append = [](void* out, const unsigned char* data, unsigned length) {
    static_cast<std::string*>(out)->append(reinterpret_cast<const char*>(data), length);
    return CAIRO_STATUS_SUCCESS;
  };
  const SurfacePtr surface(
      cairo_pdf_surface_create_for_stream(append, &bytes, page.size_pt.width, page.size_pt.height));
  cairo_pdf_surface_restrict_to_version(surface.get(), CAIRO_PDF_VERSION_1_4);
  SetMetadata(surface.get(), content);
  {
    const CairoPtr cairo(cairo_create(surface.get()));
    Paint(cairo.get(), page, content.encode_jpeg);
    cairo_show_page(cairo.get());
  }
  cairo_surface_finish(surface.get());
  const cairo_status_t status = cairo_surface_status(surface.get());
  if (status != CAIRO_STATUS_SUCCESS) {
    throw OutputError(std::string("the page cannot be made into a PDF: ") +
                      cairo_status_to_string(status));
  }
  MendDate(bytes);
  return bytes;
}

cv::Mat DrawSheetPicture(const SheetContent& content, double dots_per_inch) {
  using namespace internal;
  if (!(dots_per_inch >= 20 && dots_per_inch <= 600)) {
    throw OptionError("DrawSheetPicture: dots_per_inch must be 20 to 600");
  }
  const SheetPage page = PageOf(content);
  const double scale = dots_per_inch / kPointsPerInch;
  const int width = static_cast<int>(std::lround(scale * page.size_pt.width));
  const int height = static_cast<int>(std::lround(scale * page.size_pt.height));
  const SurfacePtr surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height));
  {
    const CairoPtr cairo(cairo_create(surface.get()));
    cairo_scale(cairo.get(), scale, scale);
    Paint(cairo.get(), page, {});
  }
  cairo_surface_flush(surface.get());
  const cv::Mat pixels(height,
                       width,
                       CV_8UC4,
                       cairo_image_surface_get_data(surface.get()),
                       static_cast<std::size_t>(cairo_image_surface_get_stride(surface.get())));
  cv::Mat bgr;
  cv::cvtColor(pixels, bgr, cv::COLOR_BGRA2BGR);
  return bgr;
}

SheetFit FitSheet(const SheetContent& content) {
  const internal::SheetPage page = internal::PageOf(content);
  return {page.notes_fit, page.title_fits};
}

bool NotesFit(const SheetContent& content) { return FitSheet(content).notes; }

}  // namespace ohmglow
