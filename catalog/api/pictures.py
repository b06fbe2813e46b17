"""What the API has in common where pictures are sent and shown; the shop's logo."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers, status
from rest_framework.parsers import MultiPartParser
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from catalog import selectors
from catalog.answers import picture_answer
from catalog.api.permissions import Catalogue
from catalog.api.serializers import TermsSerializer
from catalog.api.tags import Tagged
from catalog.pictures import JPEG, LOGO, PNG, Use
from catalog.services.terms import remove_logo, set_logo

PICTURE = {(200, PNG): OpenApiTypes.BINARY, (200, JPEG): OpenApiTypes.BINARY}


class AsPng(JSONRenderer):
    """Lets a caller ask for PNG; what is refused is still said as JSON."""

    media_type = PNG
    format = "png"


class AsJpeg(JSONRenderer):
    """Lets a caller ask for JPEG; what is refused is still said as JSON."""

    media_type = JPEG
    format = "jpg"


def sent_picture(upload: Any, use: Use) -> bytes:
    """Read what was sent, no further than it may be long and one byte."""
    return bytes(upload.read(use.most_bytes + 1))


@extend_schema_field(OpenApiTypes.BINARY)
class PictureField(serializers.FileField):
    """A picture as a part of a form; what is wrong with it the service says."""

    def __init__(self, **options: Any) -> None:
        super().__init__(allow_empty_file=True, **options)


class LogoWrite(serializers.Serializer[Any]):
    """A logo: JPEG or PNG of up to 4 MB and 50 or 20 million pixels, and what it shows in words."""

    picture = PictureField()
    text = serializers.CharField(max_length=160, required=False, default="", allow_blank=True)


@extend_schema(tags=["terms"])
class LogoView(Tagged):
    """The logo on the shop's papers."""

    permission_classes = (Catalogue,)
    parser_classes = (MultiPartParser,)
    renderer_classes = (JSONRenderer, AsPng, AsJpeg)

    @extend_schema(operation_id="terms_logo", responses=PICTURE)
    def get(self, request: Request) -> HttpResponse:
        """The picture."""
        logo = selectors.logo(selectors.shop_terms())
        if logo is None:
            raise Http404("The shop has no logo.")
        return picture_answer(request._request, logo, "logo")

    @extend_schema(operation_id="terms_logo_set", request=LogoWrite, responses={201: TermsSerializer})
    def post(self, request: Request) -> Response:
        """Put it on the papers to come; it is made anew, and nothing but what is seen is kept."""
        asked = LogoWrite(data=request.data)
        asked.is_valid(raise_exception=True)
        terms = set_logo(
            sent_picture(asked.validated_data["picture"], LOGO),
            asked.validated_data["text"],
            who=request.user.get_username(),
        )
        return Response(TermsSerializer(terms).data, status=status.HTTP_201_CREATED)

    @extend_schema(operation_id="terms_logo_remove", responses={204: None})
    def delete(self, request: Request) -> Response:
        """Take it off the papers to come."""
        self.get(request)
        remove_logo(who=request.user.get_username())
        return Response(status=status.HTTP_204_NO_CONTENT)
