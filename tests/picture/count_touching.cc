// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Marks that touch on overlay and maps of results: picture_count_touching FOLDER...
#include <iostream>

#include "cli/sheet_files.h"
#include "picture/backdrop.h"
#include "picture/overlay_layout.h"

int main(int argc, char** argv) {
  using namespace ohmglow;
  int marks = 0;
  int touching = 0;
  int hidden = 0;
  int unlabelled = 0;
  for (int i = 1; i < argc; ++i) {
    SheetContent content;
    cli::ReadResultInto(content, argv[i]);
    if (content.result.maps.photo_from_frame) {
      // The folder's photo is a smaller one than the maps speak of.
      const double scale = content.photo_scale;
      content.result.maps.photo_from_frame->matrix =
          internal::EnlargedFromFrame(scale).matrix * content.result.maps.photo_from_frame->matrix;
      for (Candidate& place : content.result.candidates) {
        if (!place.photo_px) continue;
        *place.photo_px = (*place.photo_px + Point(0.5, 0.5)) * scale - Point(0.5, 0.5);
      }
    }
    const auto backdrop = internal::MakeBackdrop(content.result, content.photo);
    const auto layout = internal::LayOutOverlay(content.result,
                                                backdrop.map,
                                                backdrop.bgr.size(),
                                                {},
                                                internal::PictureDetail(backdrop.bgr));
    int touches = internal::NumTouching(layout.marks, layout.sizes);
    const std::vector<cv::Rect2d> boxes = internal::BoxesOf(layout.marks, layout.sizes);
    for (const cv::Rect2d& box : boxes) {
      if (layout.bar && (box & layout.bar->paper).area() > 0) ++touches;
      if (layout.filmed && (box & layout.filmed->label).area() > 0) ++touches;
    }
    unlabelled += layout.filmed && layout.filmed->label.empty() ? 1 : 0;
    for (const internal::Mark& mark : layout.marks) hidden += mark.hidden_by != 0 ? 1 : 0;
    marks += static_cast<int>(layout.marks.size());
    touching += touches;
    if (touches > 0) std::cout << argv[i] << ": " << touches << " touch\n";
  }
  std::cout << argc - 1 << " overlays, " << marks << " marks, " << hidden << " listed only, "
            << unlabelled << " outlines without room for a label, " << touching << " touch\n";
  return touching == 0 ? 0 : 1;
}
