// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "picture/canvas.h"
#include "picture/marks.h"
#include "picture/style.h"

namespace ohmglow::internal {

/// A place with its letter and a word on what happened there: an open ring, a
/// disc with the letter, and the word beside the disc.
struct Tag {
  Mark mark;  ///< `rank` only tells the places of one picture apart.
  std::string letter;
  std::string words;        ///< May be empty: the disc alone.
  cv::Rect2d box;           ///< Disc and word together.
  bool words_left = false;  ///< Of the disc.
};

/// Puts each disc and word beside its ring, where they cover no ring, no other
/// tag and no edge; a word that finds no room is left out.
void PlaceTags(std::vector<Tag>& tags, cv::Size picture_size_px, const TypeSizes& sizes);

/// The disc with the letter; solid and dark where the place may be the fault,
/// pale with a thin rim where not.
void DrawLetter(Canvas& canvas,
                Point center,
                const std::string& letter,
                bool may_be_fault,
                const TypeSizes& sizes);

/// Rings, ties, discs and words; tags off the picture are left out.
void DrawTags(Canvas& canvas, const std::vector<Tag>& tags, const TypeSizes& sizes);

/// Of the words beside a disc.
[[nodiscard]] TextStyle TagStyle(const TypeSizes& sizes);

}  // namespace ohmglow::internal
