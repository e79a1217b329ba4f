// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "picture/text_block.h"

namespace ohmglow::internal {

double Fit(TextBlock& block) {
  block.box.height =
      block.text.empty() ? 0 : Canvas::Measure(block.text, block.box.width, block.style).height;
  return block.box.br().y;
}

std::string Unbroken(std::string text) {
  for (std::size_t i = 1; i < text.size(); ++i) {
    if (text[i] == ' ' && text[i - 1] >= '0' && text[i - 1] <= '9') text.replace(i, 1, "\u00A0");
  }
  return text;
}

void Draw(Canvas& canvas, const TextBlock& block) {
  if (!block.text.empty()) canvas.Text(block.text, block.box, block.style);
}

}  // namespace ohmglow::internal
