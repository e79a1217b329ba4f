// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/canvas.h"

#include <cairo.h>
#include <pango/pangocairo.h>

#include <memory>
#include <opencv2/imgproc.hpp>

namespace ohmglow::internal {
namespace {

constexpr const char* kFamilies = "DejaVu Sans,sans";

struct LayoutDeleter {
  void operator()(PangoLayout* layout) const { g_object_unref(layout); }
};
using LayoutPtr = std::unique_ptr<PangoLayout, LayoutDeleter>;

void SetColor(cairo_t* cairo, Color color) {
  cairo_set_source_rgba(cairo, color.red, color.green, color.blue, color.alpha);
}

// The same glyphs whatever the desktop's settings are.
void FixRendering(cairo_t* cairo) {
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_set_font_options(cairo, options);
  cairo_font_options_destroy(options);
}

PangoAlignment AlignmentOf(TextAlign align) {
  switch (align) {
    case TextAlign::kCentre:
      return PANGO_ALIGN_CENTER;
    case TextAlign::kEnd:
      return PANGO_ALIGN_RIGHT;
    case TextAlign::kStart:
      break;
  }
  return PANGO_ALIGN_LEFT;
}

void SetExact(PangoLayout* layout) {
  pango_context_set_round_glyph_positions(pango_layout_get_context(layout), FALSE);
  PangoAttrList* attributes = pango_attr_list_new();
  pango_attr_list_insert(attributes, pango_attr_insert_hyphens_new(FALSE));
  pango_layout_set_attributes(layout, attributes);
  pango_attr_list_unref(attributes);
}

LayoutPtr MakeLayout(cairo_t* cairo,
                     const std::string& text,
                     double width_px,
                     const TextStyle& style) {
  LayoutPtr layout(pango_cairo_create_layout(cairo));
  if (style.exact) SetExact(layout.get());
  PangoFontDescription* font = pango_font_description_new();
  pango_font_description_set_family(font, kFamilies);
  pango_font_description_set_weight(font, style.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_absolute_size(font, style.size_px * PANGO_SCALE);
  pango_layout_set_font_description(layout.get(), font);
  pango_font_description_free(font);
  // One base direction for all lines: a right-to-left name keeps its own
  // order, but numbers and units stay where the eye expects them.
  pango_layout_set_auto_dir(layout.get(), style.own_direction ? TRUE : FALSE);
  pango_layout_set_alignment(layout.get(), AlignmentOf(style.align));
  if (width_px > 0) {
    pango_layout_set_width(layout.get(), static_cast<int>(width_px * PANGO_SCALE));
    pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
    pango_layout_set_ellipsize(layout.get(), PANGO_ELLIPSIZE_END);
    pango_layout_set_height(layout.get(), -style.max_lines);
  }
  pango_layout_set_text(layout.get(), text.data(), static_cast<int>(text.size()));
  return layout;
}

cv::Size2d SizeOf(PangoLayout* layout) {
  PangoRectangle logical{};
  pango_layout_get_extents(layout, nullptr, &logical);
  return {static_cast<double>(logical.width) / PANGO_SCALE,
          static_cast<double>(logical.height) / PANGO_SCALE};
}

// Cairo keeps the bytes until it has written them.
void AttachJpeg(cairo_surface_t* image, const std::string& jpeg) {
  auto* const kept = new std::string(jpeg);
  cairo_surface_set_mime_data(
      image,
      CAIRO_MIME_TYPE_JPEG,
      reinterpret_cast<const unsigned char*>(kept->data()),
      kept->size(),
      [](void* bytes) { delete static_cast<std::string*>(bytes); },
      kept);
}

}  // namespace

struct Canvas::Surface {
  explicit Surface(cv::Size size)
      : image(cairo_image_surface_create(CAIRO_FORMAT_RGB24, size.width, size.height)),
        cairo(cairo_create(image)) {
    FixRendering(cairo);
  }
  explicit Surface(cairo_t* context) : image(nullptr), cairo(cairo_reference(context)) {
    FixRendering(cairo);
  }
  ~Surface() {
    cairo_destroy(cairo);
    if (image != nullptr) cairo_surface_destroy(image);
  }
  Surface(const Surface&) = delete;
  Surface& operator=(const Surface&) = delete;

  [[nodiscard]] cv::Mat Pixels(cv::Size size) const {
    cairo_surface_flush(image);
    return {size,
            CV_8UC4,
            cairo_image_surface_get_data(image),
            static_cast<std::size_t>(cairo_image_surface_get_stride(image))};
  }

  void StrokePath(const Stroke& stroke) const {
    SetColor(cairo, stroke.color);
    cairo_set_line_width(cairo, stroke.width_px);
    cairo_set_dash(cairo, stroke.dash_px.data(), static_cast<int>(stroke.dash_px.size()), 0);
    cairo_set_line_cap(cairo, CAIRO_LINE_CAP_BUTT);
    cairo_set_line_join(cairo, CAIRO_LINE_JOIN_ROUND);
    cairo_stroke(cairo);
  }

  cairo_surface_t* image;
  cairo_t* cairo;
};

Canvas::Canvas(cv::Size size_px, Color background)
    : surface_(std::make_unique<Surface>(size_px)), size_px_(size_px), shift_px_(0.5) {
  SetColor(surface_->cairo, background);
  cairo_paint(surface_->cairo);
}

Canvas::Canvas(cairo_t* context) : surface_(std::make_unique<Surface>(context)), shift_px_(0) {}

Canvas::~Canvas() = default;

void Canvas::PutImage(const cv::Mat& bgr, int x, int y) {
  cv::Mat pixels = surface_->Pixels(size_px_);
  const cv::Rect target = cv::Rect({x, y}, bgr.size()) & cv::Rect({0, 0}, size_px_);
  cv::cvtColor(bgr(target - cv::Point(x, y)), pixels(target), cv::COLOR_BGR2BGRA);
  cairo_surface_mark_dirty(surface_->image);
}

void Canvas::PutPicture(const cv::Mat& bgr, cv::Rect2d box, const std::string& jpeg) {
  cairo_t* const cairo = surface_->cairo;
  const Surface picture(bgr.size());
  cv::Mat pixels = picture.Pixels(bgr.size());
  cv::cvtColor(bgr, pixels, cv::COLOR_BGR2BGRA);
  cairo_surface_mark_dirty(picture.image);
  if (!jpeg.empty()) AttachJpeg(picture.image, jpeg);
  cairo_save(cairo);
  cairo_rectangle(cairo, box.x, box.y, box.width, box.height);
  cairo_clip(cairo);
  cairo_translate(cairo, box.x, box.y);
  cairo_scale(cairo, box.width / bgr.cols, box.height / bgr.rows);
  cairo_set_source_surface(cairo, picture.image, 0, 0);
  // Pixels at the rim mix with themselves, not with nothing; a vector page
  // holds the picture as it is.
  if (cairo_surface_get_type(cairo_get_target(cairo)) == CAIRO_SURFACE_TYPE_IMAGE) {
    cairo_pattern_set_extend(cairo_get_source(cairo), CAIRO_EXTEND_PAD);
  }
  cairo_pattern_set_filter(cairo_get_source(cairo), CAIRO_FILTER_GOOD);
  cairo_paint(cairo);
  cairo_restore(cairo);
}

void Canvas::Clip(cv::Rect2d box) {
  cairo_save(surface_->cairo);
  cairo_rectangle(surface_->cairo, box.x, box.y, box.width, box.height);
  cairo_clip(surface_->cairo);
}

void Canvas::Unclip() { cairo_restore(surface_->cairo); }

void Canvas::Line(const std::vector<Point>& points, const Stroke& stroke) {
  cairo_new_path(surface_->cairo);
  for (const Point& p : points) {
    cairo_line_to(surface_->cairo, p.x + shift_px_, p.y + shift_px_);
  }
  surface_->StrokePath(stroke);
}

void Canvas::Arc(
    Point center, double radius_px, double from_rad, double to_rad, const Stroke& stroke) {
  cairo_new_path(surface_->cairo);
  cairo_arc(
      surface_->cairo, center.x + shift_px_, center.y + shift_px_, radius_px, from_rad, to_rad);
  surface_->StrokePath(stroke);
}

void Canvas::FillCircle(Point center, double radius_px, Color color) {
  cairo_new_path(surface_->cairo);
  cairo_arc(surface_->cairo, center.x + shift_px_, center.y + shift_px_, radius_px, 0, 2 * CV_PI);
  SetColor(surface_->cairo, color);
  cairo_fill(surface_->cairo);
}

void Canvas::FillPolygon(const std::vector<Point>& corners, Color color) {
  cairo_new_path(surface_->cairo);
  for (const Point& p : corners) {
    cairo_line_to(surface_->cairo, p.x + shift_px_, p.y + shift_px_);
  }
  cairo_close_path(surface_->cairo);
  SetColor(surface_->cairo, color);
  cairo_fill(surface_->cairo);
}

void Canvas::FillBox(cv::Rect2d box, Color color) {
  cairo_rectangle(surface_->cairo, box.x, box.y, box.width, box.height);
  SetColor(surface_->cairo, color);
  cairo_fill(surface_->cairo);
}

void Canvas::Text(const std::string& text, cv::Rect2d box, const TextStyle& style) {
  const LayoutPtr layout = MakeLayout(surface_->cairo, text, box.width, style);
  SetColor(surface_->cairo, style.color);
  cairo_move_to(surface_->cairo, box.x, box.y);
  pango_cairo_show_layout(surface_->cairo, layout.get());
}

void Canvas::TextCentred(const std::string& text, Point center, const TextStyle& style) {
  const LayoutPtr layout = MakeLayout(surface_->cairo, text, 0, style);
  const cv::Size2d size = SizeOf(layout.get());
  // Digits have no descenders: centre the ink, not the line.
  PangoRectangle ink{};
  pango_layout_get_extents(layout.get(), &ink, nullptr);
  const double ink_middle_px = (ink.y + 0.5 * ink.height) / PANGO_SCALE;
  SetColor(surface_->cairo, style.color);
  cairo_move_to(
      surface_->cairo, center.x + shift_px_ - size.width / 2, center.y + shift_px_ - ink_middle_px);
  pango_cairo_show_layout(surface_->cairo, layout.get());
}

cv::Size2d Canvas::Measure(const std::string& text, double width_px, const TextStyle& style) {
  const Surface scratch({1, 1});
  const LayoutPtr layout = MakeLayout(scratch.cairo, text, width_px, style);
  return SizeOf(layout.get());
}

cv::Mat Canvas::ToBgr() const {
  cv::Mat bgr;
  cv::cvtColor(surface_->Pixels(size_px_), bgr, cv::COLOR_BGRA2BGR);
  return bgr;
}

}  // namespace ohmglow::internal
